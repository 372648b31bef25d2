/* Tempo without a click: how much it changes from beginning to end, and whether it wanders both
 * ways in between. */
#include <math.h>

#include "evenhand/free_tempo.h"
#include "measure.h"
#include "verdict.h"

/* As with a click, see measure_tempo.c. */
enum { LEAST = 12, RUN_LEAST = 32 };

/* How far apart the quickest and the slowest bar of a run lie by chance, in standard errors of one:
 * 17 normal values range over 3.5 (Tippett 1925, Biometrika 17, 364-387: 3.41 for 16, 3.59 for 18).
 */
static const double range_of_bars = 3.5;

struct free_line {
    size_t n;
    double first, last; /* quarters */
    double length_ms;   /* at the mean tempo */
};

static bool counts(const struct measures *m, size_t i) {
    return m->row[i].beat && m->row[i].matched;
}

static double quarters(eh_ticks ticks) {
    return (double)ticks / (double)EH_TICKS_PER_QUARTER;
}

/* Where a due stroke stands on the player's own beat, whatever was skipped or repeated before. */
static eh_ticks place(const struct measures *m, size_t i) {
    const struct eh_free_tempo *tempo = m->in->free_tempo;
    const int64_t shift_ns = m->in->matches[i].shift_ns;
    const eh_ticks at = m->in->plan->due[i].at;
    return shift_ns == 0
               ? at
               : eh_tempo_map_tick(&tempo->map, eh_tempo_map_ns(&tempo->map, at) + shift_ns);
}

/* When it was played, with the waiting taken out. */
static double played_ms(const struct measures *m, size_t i, eh_ticks at) {
    const struct eh_free_tempo *tempo = m->in->free_tempo;
    int64_t ns = m->in->hits[m->in->matches[i].hit].at_ns - m->in->plan->start_ns;
    for (size_t k = 0; k < tempo->halt_count; k++) {
        ns -= at >= tempo->halts[k].at ? tempo->halts[k].excess_ns : 0;
    }
    return (double)ns / 1e6;
}

/* Strokes against an even beat of the run's mean tempo: m->a place (0 .. 1), m->b ms late. */
static struct free_line lay(struct measures *m) {
    const double quarter_ms = 60000.0 / m->in->free_tempo->bpm;
    struct free_line line = {0, 0.0, 0.0, 0.0};
    for (size_t i = 0; i < m->count; i++) {
        if (!counts(m, i)) {
            continue;
        }
        const eh_ticks at = place(m, i);
        m->a[line.n] = quarters(at);
        m->b[line.n] = played_ms(m, i, at) - quarters(at) * quarter_ms;
        line.n++;
    }
    if (line.n > 1) {
        line.first = m->a[0];
        line.last = m->a[line.n - 1];
    }
    line.length_ms = (line.last - line.first) * quarter_ms;
    for (size_t k = 0; k < line.n && line.length_ms > 0.0; k++) {
        m->a[k] = (m->a[k] - line.first) / (line.last - line.first);
        m->b[k] -= m->b[0];
    }
    return line;
}

/* Percent faster at the end than at the beginning: by how much the slope of a curve changes. */
static struct eh_estimate change(struct measures *m, const struct free_line *line) {
    static const double slope_end_less_begin[3] = {0.0, 0.0, 2.0};
    struct eh_estimate none = {NAN, NAN, NAN, line->n};
    if (line->n < LEAST || !(line->length_ms > 0.0)) {
        return none;
    }
    /* m->c and m->d lie side by side: together they are the fit's room. */
    struct eh_estimate e =
        eh_wander_fit(m->a, m->b, line->n, slope_end_less_begin, MEASURE_CONFIDENCE, m->c);
    const double half = e.value / line->length_ms / 2.0;
    if (!isfinite(e.value) || fabs(half) > 0.5) {
        return none;
    }
    const double wide = 100.0 * (e.high - e.low) / 2.0 / line->length_ms / pow(1.0 + half, 2.0);
    const double percent = 100.0 * ((1.0 - half) / (1.0 + half) - 1.0);
    return (struct eh_estimate){percent, percent - wide, percent + wide, line->n};
}

/* What a stroke's own scatter may do to the tempo of a bar, percent. */
static double bar_error(struct measures *m) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (counts(m, i)) {
            m->c[n++] = m->row[i].off_ms;
        }
    }
    const struct eh_plan_bar *bar = &m->in->plan->bars[0];
    const double bar_ms = 60000.0 / m->in->free_tempo->bpm * 4.0 * bar->beats / bar->unit;
    return 100.0 * eh_mad(m->c, n) / bar_ms;
}

/* How far the tempo goes to and fro: the lesser of its quickening and its slackening. */
static double to_and_fro(const struct measures *m) {
    return fmin(m->in->free_tempo->rise_percent, m->in->free_tempo->fall_percent);
}

/* Both a quickening and a slackening beyond the limit, or half of it where the tempo leaves its own
 * straight course by the limit too (a single wave begins and ends in its middle). The way it goes
 * is then no drift, unless it ends further off than it goes to and fro. */
static bool goes_both_ways(struct measures *m, double limit) {
    const double chance = range_of_bars * bar_error(m);
    const double both = to_and_fro(m);
    return both > limit + chance || (both > limit / 2.0 + chance &&
                                     m->in->free_tempo->wander_percent > limit + chance / 2.0);
}

static struct eh_estimate net(const struct measures *m, const struct eh_estimate *e) {
    const double wave = fmax(to_and_fro(m), m->in->free_tempo->wander_percent);
    const double half = fmax(wave, e->high - e->value);
    const double value = m->in->free_tempo->change_percent;
    return (struct eh_estimate){value, value - half, value + half, e->n};
}

static void say_change(struct verdict_words *w, const struct eh_finding *f) {
    say_number(w, fabs(f->value), 1);
    say(w, f->value >= 0.0 ? " % faster" : " % slower");
    say(w, " at the end than at the beginning, where ");
    say_number(w, f->limit_high, 1);
    say(w, " % would be fine");
}

static void say_free(const struct measures *m, struct eh_finding *f, bool both_ways,
                     const struct verdict_call *call) {
    struct verdict_words w = verdict_say(f);
    if (!isfinite(f->value)) {
        say(&w, "tempo without a click: too few strokes to say whether it was kept");
        return;
    }
    say(&w, f->direction == EH_DIRECTION_RUSHING    ? "you rush: "
            : f->direction == EH_DIRECTION_DRAGGING ? "you drag: "
                                                    : "");
    if (both_ways) {
        say(&w, "your tempo goes both ways, up to ");
        say_number(&w, m->in->free_tempo->wander_percent, 1);
        say(&w, " % off an even course; ");
    }
    say(&w, "it is ");
    say_change(&w, f);
    say_basis(&w, "stroke", "strokes");
    if (f->fault == EH_FAULT_UNCLEAR && both_ways) {
        say(&w, "; rubato or unrest, which only you can tell, but no drift");
    } else if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "%");
    }
}

void measure_free_tempo(struct measures *m) {
    m->out->drift_percent = NAN;
    if (m->census.beats[0] + m->census.beats[1] < 2) {
        return;
    }
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_TEMPO, EH_SIDE_BOTH);
    const double limit = m->style->drift_percent;
    const struct free_line line = lay(m);
    struct eh_estimate e = change(m, &line);
    const bool both_ways = isfinite(e.value) && goes_both_ways(m, limit);
    if (both_ways) {
        e = net(m, &e);
    }
    struct verdict_call call = verdict_place(&e, -limit, limit, RUN_LEAST);
    m->out->drift_percent = e.value;
    verdict_numbers(f, &e, -limit, limit, "percent");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_STEADY);
    } else if (call.place != PLACE_UNKNOWN) {
        bool fast = call.place == PLACE_ABOVE;
        verdict_fault(f, EH_VERDICT_DRIFTING, fast ? EH_DIRECTION_RUSHING : EH_DIRECTION_DRAGGING);
    }
    say_free(m, f, both_ways, &call);
}
