#include "musician.h"

#include <math.h>
#include <stdlib.h>

/* ---- Who plays ---- */

struct musician musician_sane(struct chance *chance) {
    struct musician m = {.offset_ms = chance_between(chance, -30.0, 20.0),
                         .scatter_ms = chance_between(chance, 2.0, 10.0),
                         .wander_ms = chance_between(chance, 0.0, 8.0),
                         .base_db = chance_between(chance, -20.0, -10.0),
                         .lift_db = chance_between(chance, 1.0, 12.0),
                         .mark_db = chance_between(chance, 1.0, 4.0),
                         .tap_db = chance_between(chance, 0.5, 2.0),
                         .grace_ms = chance_between(chance, 15.0, 35.0),
                         .grace_db = chance_between(chance, 3.0, 9.0),
                         .bounces = chance_between(chance, 1.0, 4.0),
                         .repeat_bar = -1,
                         .pause_bar = -1,
                         .step_ns = chance_of(chance, 40) ? 1 : EH_NS_PER_MS,
                         .fine = chance_of(chance, 40)};
    const int hand = chance_below(chance, 2);
    switch (chance_below(chance, 6)) {
    case 0:
        m.second_late = chance_between(chance, -0.25, 0.25);
        break;
    case 1:
        m.second_db = chance_between(chance, -9.0, 4.0);
        break;
    case 2:
        m.hand_ms[hand] = chance_between(chance, -30.0, 30.0);
        break;
    case 3:
        m.hand_db[hand] = chance_between(chance, -8.0, 0.0);
        break;
    default:
        break;
    }
    if (chance_of(chance, 50)) {
        m.missed = chance_between(chance, 0.0, 0.05);
        m.extra = chance_between(chance, 0.0, 0.05);
        m.echoed = chance_between(chance, 0.0, 0.05);
    }
    return m;
}

static void lose_the_way(struct musician *m, struct chance *chance, int bars) {
    switch (chance_below(chance, 7)) {
    case 0:
        m->late_start = 1 + chance_below(chance, 20);
        break;
    case 1:
        m->stop_bar = chance_below(chance, bars);
        m->stop_bars = 1 + chance_below(chance, 3);
        break;
    case 2:
        m->skip_bar = chance_below(chance, bars);
        m->skip_bars = 1 + chance_below(chance, 2);
        break;
    case 3:
        m->repeat_bar = chance_below(chance, bars);
        break;
    case 4:
        m->pause_bar = chance_below(chance, bars);
        break;
    case 5:
        m->broken_off = 1 + chance_below(chance, bars);
        break;
    default:
        m->noise = 1 + chance_below(chance, 300);
        break;
    }
}

struct musician musician_any(struct chance *chance, const struct eh_plan *plan) {
    static const int64_t steps[] = {1, EH_NS_PER_MS, 5 * EH_NS_PER_MS, 21 * EH_NS_PER_MS};
    struct musician m = musician_sane(chance);
    m.offset_ms = chance_normal(chance) * 40.0;
    m.scatter_ms = chance_between(chance, 0.0, 30.0);
    m.drift = chance_of(chance, 50) ? chance_between(chance, -0.08, 0.08) : 0.0;
    m.missed = chance_of(chance, 50) ? chance_between(chance, 0.0, 0.3) : 0.0;
    m.extra = chance_of(chance, 50) ? chance_between(chance, 0.0, 0.3) : 0.0;
    m.echoed = chance_of(chance, 30) ? chance_between(chance, 0.0, 0.5) : 0.0;
    m.rim = chance_of(chance, 20) ? chance_between(chance, 0.0, 0.4) : 0.0;
    m.foreign = chance_of(chance, 20) ? 0.2 : 0.0;
    m.base_db = chance_between(chance, -40.0, 0.0);
    m.step_ns = steps[chance_below(chance, 4)];
    for (int faults = chance_below(chance, 3); faults > 0; faults--) {
        lose_the_way(&m, chance, (int)plan->bar_count);
    }
    return m;
}

/* ---- Playing ---- */

struct stage {
    const struct musician *m;
    struct chance *chance;
    const struct eh_plan *plan;
    struct eh_take *take;
    double wander_ms;
    int played; /* main strokes so far */
};

/* Hits before the take's begin cannot be on it. */
static void add(struct stage *s, double at_ns, double level_db, uint8_t note) {
    double velocity = 127.0 * pow(10.0, level_db / 20.0);
    velocity = fmin(fmax(velocity, 1.0), 127.0);
    const long units = s->m->fine ? lround(velocity * 128.0) * 4 : lround(velocity) * 512;
    const int64_t step = s->m->step_ns;
    const struct eh_hit hit = {.at_ns = llround(at_ns / (double)step) * step,
                               .velocity = (uint16_t)units,
                               .note = note,
                               .channel = 9};
    if (hit.at_ns >= 0 && eh_take_add(s->take, &hit) != EH_OK) {
        abort();
    }
}

static uint8_t choose_note(struct stage *s) {
    if (chance_between(s->chance, 0.0, 1.0) < s->m->rim) {
        return chance_of(s->chance, 70) ? 40 : 37;
    }
    return 38;
}

static bool happens(struct stage *s, double share) {
    return share > 0.0 && chance_between(s->chance, 0.0, 1.0) < share;
}

static double level_of(struct stage *s, const struct eh_stroke *stroke) {
    const struct musician *m = s->m;
    double db = m->base_db + m->mark_db * ((double)stroke->step_milli / 1000.0 - EH_DYNAMIC_MF);
    db += m->lift_db * stroke->accent + m->hand_db[stroke->hand];
    db += stroke->kind == EH_KIND_SECOND ? m->second_db : 0.0;
    db -= stroke->kind == EH_KIND_GRACE ? m->grace_db : 0.0;
    return db + m->tap_db * chance_normal(s->chance);
}

/* What a stroke brings with it: bounces, the pad's echo, a further hit, another instrument. */
static void add_company(struct stage *s, const struct eh_due *due, double at_ns, double db,
                        uint8_t note) {
    const struct musician *m = s->m;
    if (eh_exercise_strokes(s->plan->exercise, NULL)[due->stroke].kind == EH_KIND_BUZZ) {
        const int bounces = (int)lround(fmax(m->bounces + chance_normal(s->chance), 0.0));
        for (int i = 1; i <= bounces; i++) {
            add(s, at_ns + i * chance_between(s->chance, 20e6, 40e6), db - 1.5 * i, note);
        }
    }
    if (happens(s, m->echoed)) {
        add(s, at_ns + chance_between(s->chance, 1e6, 25e6), db - 8.0, note);
    }
    if (happens(s, m->extra)) {
        const double gap = (double)due->spacing_ns * chance_between(s->chance, 0.2, 0.8);
        add(s, at_ns + gap, m->base_db, 38);
    }
    if (happens(s, m->foreign)) {
        add(s, at_ns, -10.0, 42);
    }
}

static double drifted(const struct stage *s, double at_ns) {
    const double span = (double)(s->plan->end_ns - s->plan->start_ns);
    const double u = (at_ns - (double)s->plan->start_ns) / span;
    return at_ns - 0.5 * s->m->drift * u * u * span;
}

static void play_stroke(struct stage *s, const struct eh_due *due, double moved_ns) {
    const struct musician *m = s->m;
    const struct eh_stroke *stroke = &eh_exercise_strokes(s->plan->exercise, NULL)[due->stroke];
    const double most = 0.25e-6 * (double)due->spacing_ns; /* fast strokes scatter less */
    s->wander_ms = 0.95 * s->wander_ms + 0.31 * m->wander_ms * chance_normal(s->chance);
    double ms = m->offset_ms + s->wander_ms + m->hand_ms[stroke->hand];
    ms += fmin(m->scatter_ms, most) * chance_normal(s->chance);
    ms += stroke->kind == EH_KIND_SECOND ? m->second_late * 1e-6 * (double)due->spacing_ns : 0.0;
    double at_ns = drifted(s, (double)due->at_ns + moved_ns) + 1e6 * ms;
    if (stroke->kind == EH_KIND_GRACE) {
        at_ns += 1e6 * (25.0 - m->grace_ms) * stroke->grace_rank;
    }
    s->played += stroke->kind != EH_KIND_GRACE;
    if (s->played <= m->late_start || happens(s, m->missed)) {
        return;
    }
    const double db = level_of(s, stroke);
    const uint8_t note = choose_note(s);
    add(s, at_ns, db, note);
    add_company(s, due, at_ns, db, note);
}

static void play_bar(struct stage *s, int bar, double moved_ns) {
    const struct eh_plan_bar *b = &s->plan->bars[bar];
    for (uint32_t i = 0; i < b->due_count; i++) {
        play_stroke(s, &s->plan->due[b->first_due + i], moved_ns);
    }
}

static bool is_in(int bar, int from, int count) {
    return bar >= from && bar < from + count;
}

static void play_bars(struct stage *s) {
    const struct musician *m = s->m;
    double moved_ns = 0.0;
    for (int bar = 0; bar < (int)s->plan->bar_count; bar++) {
        const double length = (double)(s->plan->bars[bar].end_ns - s->plan->bars[bar].at_ns);
        if (m->broken_off > 0 && bar >= m->broken_off) {
            return;
        }
        if (is_in(bar, m->skip_bar, m->skip_bars)) {
            moved_ns -= length;
            continue;
        }
        moved_ns += bar == m->pause_bar ? length : 0.0;
        if (!is_in(bar, m->stop_bar, m->stop_bars)) {
            play_bar(s, bar, moved_ns);
        }
        if (bar == m->repeat_bar) {
            moved_ns += length;
            play_bar(s, bar, moved_ns);
        }
    }
}

static void play_noise(struct stage *s) {
    const double from = (double)s->plan->start_ns - 1e9;
    const double to = (double)s->plan->end_ns + 1e9;
    for (int i = 0; i < s->m->noise; i++) {
        add(s, chance_between(s->chance, from, to), chance_between(s->chance, -30.0, 0.0),
            choose_note(s));
    }
}

void musician_play(const struct musician *musician, struct chance *chance,
                   const struct eh_plan *plan, struct eh_take *take) {
    struct stage s = {.m = musician, .chance = chance, .plan = plan, .take = take};
    if (musician->noise > 0) {
        play_noise(&s);
    } else {
        play_bars(&s);
    }
}
