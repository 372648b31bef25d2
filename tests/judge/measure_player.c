#include "measure_player.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "evenhand/settings.h"
#include "evenhand/stats.h"

struct player professional(void) {
    return (struct player){.wander_ms = 7.0,
                           .keep = 0.92,
                           .stroke_ms = 8.5,
                           .second_ms = 7.0,
                           .tap_db = 1.5,
                           .accent_db = 1.0,
                           .flam_log = 0.39,
                           .grace_db = 2.0,
                           .tail = 0.05,
                           .offset_ms = -10.0,
                           .base_db = -11.0,
                           .mark_db = 3.0,
                           .lift_db = 7.5,
                           .flam_ms = 24.0,
                           .drag_ms = 50.0,
                           .grace_soft_db = 6.0,
                           .buzz_notes = 3.6};
}

struct player learner(void) {
    struct player p = professional();
    p.wander_ms = 10.0;
    p.stroke_ms = 9.5;
    p.second_ms = 8.0;
    p.tap_db = 2.2;
    p.accent_db = 1.7;
    p.flam_log = 0.45;
    p.grace_db = 2.5;
    p.offset_ms = -25.0;
    return p;
}

struct player machine(void) {
    struct player p = professional();
    p.wander_ms = p.stroke_ms = p.second_ms = 0.0;
    p.tap_db = p.accent_db = p.flam_log = p.grace_db = 0.0;
    p.offset_ms = 0.0;
    p.base_db = -16.0;
    p.buzz_notes = 4.0;
    p.fine_velocity = true;
    return p;
}

/* ---- Chance ---- */

static uint64_t state;

static double uniform(void) {
    state += 0x9E3779B97F4A7C15u; /* splitmix64, Steele, Lea & Flood 2014 */
    uint64_t z = state;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    z ^= z >> 31;
    return ((double)(z >> 11) + 0.5) / 9007199254740992.0;
}

static double normal(void) {
    return sqrt(-2.0 * log(uniform())) * cos(6.283185307179586 * uniform());
}

static double scatter(const struct player *p, double sd) {
    return normal() * sd * (uniform() < p->tail ? 3.0 : 1.0);
}

/* ---- Opening ---- */

static void must(bool good, const char *what) {
    if (!good) {
        fprintf(stderr, "%s\n", what);
        abort();
    }
}

void run_open(struct run *run, const char *exercise, double bpm, int passes, const char *style) {
    struct eh_error error;
    memset(run, 0, sizeof *run);
    must(eh_exercise_parse(&run->exercise, exercise, strlen(exercise), &error) == EH_OK,
         error.text);
    must(eh_tempo_map_init(&run->click, 0, 2 * EH_NS_PER_S, eh_ns_per_quarter(bpm)) == EH_OK,
         "tempo");
    struct eh_plan_request request = {.passes = passes, .gap = 4 * EH_TICKS_PER_QUARTER};
    must(eh_plan_init(&run->plan, run->exercise, &request, &run->click, 0, &error) == EH_OK,
         error.text);
    eh_pad_init_default(&run->pad);
    run->pad.calibrated_utc_s = 1; /* the player's levels follow the default map exactly */
    run->pad.levels.scale_sd = 0.0;
    must(eh_style_shipped(&run->style, style, &error) == EH_OK, error.text);
    size_t room = run->plan.due_count * 12 + 64;
    run->hits = calloc(room, sizeof *run->hits);
    run->fates = calloc(room, sizeof *run->fates);
    run->matches = calloc(run->plan.due_count, sizeof *run->matches);
    run->at = calloc(run->plan.due_count, sizeof *run->at);
    must(run->hits != NULL && run->fates != NULL && run->matches != NULL && run->at != NULL,
         "memory");
    run->resolution_ns = 1000;
}

void run_close(struct run *run) {
    eh_plan_deinit(&run->plan);
    eh_exercise_free(run->exercise);
    eh_tempo_map_deinit(&run->click);
    free(run->hits);
    free(run->fates);
    free(run->matches);
    free(run->at);
}

/* ---- Times ---- */

static const struct eh_stroke *stroke(const struct run *run, size_t i) {
    return eh_plan_stroke(&run->plan, i);
}

static size_t next_main(const struct run *run, size_t i) {
    do {
        i++;
    } while (i < run->plan.due_count && stroke(run, i)->kind == EH_KIND_GRACE);
    return i;
}

/* Whether the faults of seconds and hands hold at stroke I. */
static bool faulty(const struct run *run, const struct player *p, size_t i) {
    int32_t bar = run->plan.bars[run->plan.due[i].bar].written;
    return p->from_bar == 0 || (bar >= p->from_bar && bar <= p->to_bar);
}

/* How far the player's clock has moved against the click after X of LENGTH ms. */
static double moved(const struct player *p, double x, double length) {
    double slope = p->start_percent / (100.0 + p->start_percent);
    double bend = p->end_percent / (100.0 + p->end_percent) - slope;
    return -(slope * x + bend * x * x / (2.0 * length));
}

static void play_beats(struct run *run, const struct player *p) {
    double wander = normal() * p->wander_ms;
    int32_t pass = 0;
    double start = 0.0;
    double length = (double)(run->plan.bars[0].at_ns);
    for (size_t i = 0; i < run->plan.due_count; i++) {
        const struct eh_stroke *s = stroke(run, i);
        const struct eh_plan_bar *bar = &run->plan.bars[run->plan.due[i].bar];
        double due = (double)run->plan.due[i].at_ns / 1e6;
        if (i == 0 || bar->pass != pass) {
            pass = bar->pass;
            start = (double)bar->at_ns / 1e6;
            length = (double)(run->plan.end_ns - run->plan.start_ns) / 1e6 / run->plan.passes;
        }
        if (s->kind == EH_KIND_GRACE || s->kind == EH_KIND_SECOND) {
            continue;
        }
        wander = p->keep * wander + sqrt(1 - p->keep * p->keep) * normal() * p->wander_ms;
        run->at[i] = due + p->offset_ms + moved(p, due - start, length) + wander +
                     scatter(p, p->stroke_ms) +
                     (faulty(run, p, i) ? p->hand_late_ms[s->hand] : 0.0);
    }
}

static void play_seconds(struct run *run, const struct player *p) {
    for (size_t i = 1; i < run->plan.due_count; i++) {
        const struct eh_stroke *s = stroke(run, i);
        if (s->kind != EH_KIND_SECOND) {
            continue;
        }
        size_t first = i - 1;
        while (stroke(run, first)->kind == EH_KIND_GRACE) {
            first--;
        }
        size_t next = next_main(run, i);
        double d1 = (double)run->plan.due[first].at_ns / 1e6;
        double d2 = (double)run->plan.due[i].at_ns / 1e6;
        double gap = d2 - d1;
        double stretch = 1.0;
        if (next < run->plan.due_count) {
            double d3 = (double)run->plan.due[next].at_ns / 1e6;
            double apart = p->hand_late_ms[stroke(run, next)->hand] - p->hand_late_ms[s->hand];
            apart = faulty(run, p, i) ? apart : 0.0;
            stretch = (run->at[next] - apart - run->at[first]) / (d3 - d1);
        }
        double late = faulty(run, p, i) ? p->second_late[s->hand] : 0.0;
        run->at[i] = run->at[first] + gap * stretch * (1.0 + 2.0 * late) + scatter(p, p->second_ms);
    }
}

static void play_graces(struct run *run, const struct player *p) {
    for (size_t i = run->plan.due_count; i-- > 0;) {
        const struct eh_stroke *s = stroke(run, i);
        if (s->kind == EH_KIND_GRACE) {
            const struct eh_stroke *main = stroke(run, run->plan.due[i].main);
            double usual = main->grace_count > 1 ? p->drag_ms : p->flam_ms;
            run->at[i] = run->at[i + 1] - usual * exp(scatter(p, p->flam_log));
        }
    }
}

/* ---- Levels ---- */

static double level_of(const struct run *run, const struct player *p, size_t i) {
    const struct eh_stroke *s = stroke(run, i);
    bool flat = p->flat_dynamics || (p->flat_hairpins && s->hairpin >= 0);
    double step = p->flat_dynamics ? 4.0 : flat ? s->dynamic : s->step_milli / 1000.0;
    bool bad = faulty(run, p, i);
    double level = p->base_db + p->mark_db * (step - 4.0) + (bad ? p->hand_db[s->hand] : 0.0);
    if (s->kind == EH_KIND_GRACE) {
        return level - p->grace_soft_db + scatter(p, p->grace_db / 2.0);
    }
    if (s->kind == EH_KIND_SECOND) {
        level += bad ? p->second_db[s->hand] : 0.0;
    }
    if (s->accent == 0 && p->place_db != 0.0 && s->in_bar % EH_TICKS_PER_QUARTER == p->place) {
        level += p->place_db;
    }
    return s->accent > 0 ? level + p->lift_db + scatter(p, p->accent_db)
                         : level + scatter(p, p->tap_db);
}

/* ---- Hits ---- */

struct raw {
    double at, level;
    uint8_t fate, note;
    uint32_t due;
    int first; /* first hit of its stroke */
};

static void put(struct raw *raws, size_t *n, struct raw r) {
    raws[(*n)++] = r;
}

static int by_time(const void *a, const void *b) {
    const struct raw *x = a;
    const struct raw *y = b;
    return x->at < y->at ? -1 : x->at > y->at ? 1 : x->due < y->due ? -1 : x->due > y->due;
}

static bool hidden(const struct run *run, const struct player *p, size_t i, double level,
                   double before_at, double before_level) {
    double gap = run->at[i] - before_at;
    if (!p->pad_hides || gap > 60.0) {
        return false;
    }
    double least = gap < 10.0 ? 8.0 : 1.8 - 0.21 * gap;
    return level - before_level < least;
}

static void bounces(const struct player *p, double at, double level, uint32_t due, struct raw *raws,
                    size_t *n) {
    static const double steps[] = {47, 36, 33, 31, 30};
    int more = (int)floor(p->buzz_notes - 1.0 + uniform());
    for (int k = 0; k < more && k < 5; k++) {
        at += steps[k] * exp(0.15 * normal());
        level -= 1.3;
        put(raws, n, (struct raw){at, level, EH_FATE_BOUNCE, 38, due, 0});
    }
}

static void gather(struct run *run, const struct player *p, struct raw *raws, size_t *n) {
    double before_at = -1e9;
    double before_level = 0.0;
    for (size_t i = 0; i < run->plan.due_count; i++) {
        const struct eh_stroke *s = stroke(run, i);
        double level = level_of(run, p, i);
        if (uniform() < p->missed) {
            continue;
        }
        if (hidden(run, p, i, level, before_at, before_level)) {
            struct raw *was = &raws[*n - 1];
            if (stroke(run, was->due)->kind == EH_KIND_GRACE && s->kind != EH_KIND_GRACE) {
                was->due = (uint32_t)i; /* the pair is one note, with the grace note's level */
            }
            continue;
        }
        bool rim = s->accent > 0 && uniform() < p->rim;
        put(raws, n,
            (struct raw){run->at[i], level, EH_FATE_STROKE, rim ? 40 : 38, (uint32_t)i, 1});
        if (s->kind == EH_KIND_BUZZ) {
            bounces(p, run->at[i], level, (uint32_t)i, raws, n);
        }
        if (uniform() < p->extra) {
            double at = run->at[i] + 20.0 + 30.0 * uniform();
            put(raws, n, (struct raw){at, level - 3.0, EH_FATE_EXTRA, 38, 0, 0});
        }
        before_at = run->at[i];
        before_level = level;
    }
}

static uint16_t velocity(const struct player *p, double level) {
    double v = 127.0 * pow(10.0, level / 20.0);
    v = p->fine_velocity ? v : round(v);
    v = v < 1.0 ? 1.0 : v > 127.0 ? 127.0 : v;
    return (uint16_t)lround(v * EH_VELOCITY_UNIT);
}

static void deliver(struct run *run, const struct player *p, const struct raw *raws, size_t n) {
    for (size_t i = 0; i < run->plan.due_count; i++) {
        run->matches[i] = (struct eh_match){.hit = EH_NO_HIT};
    }
    for (size_t h = 0; h < n; h++) {
        int64_t at = llround(raws[h].at * 1e6);
        at = at / run->resolution_ns * run->resolution_ns;
        run->hits[h] = (struct eh_hit){at, velocity(p, raws[h].level), raws[h].note, 9};
        run->fates[h] = (struct eh_fate){raws[h].fate, raws[h].due};
        if (raws[h].fate == EH_FATE_STROKE) {
            run->matches[raws[h].due].hit = (int32_t)h;
        } else if (raws[h].fate == EH_FATE_BOUNCE) {
            run->matches[raws[h].due].bounces++;
        }
    }
    run->hit_count = n;
}

void run_play(struct run *run, const struct player *player, uint64_t seed) {
    state =
        seed * 0xD1342543DE82EF95u + 12345; /* far from the step: rows of seeds do not overlap */
    state = (uint64_t)(uniform() * 1.8e19);
    play_beats(run, player);
    play_seconds(run, player);
    play_graces(run, player);
    struct raw *raws = calloc(run->plan.due_count * 12 + 64, sizeof *raws);
    must(raws != NULL, "memory");
    size_t n = 0;
    gather(run, player, raws, &n);
    qsort(raws, n, sizeof *raws, by_time);
    deliver(run, player, raws, n);
    free(raws);
    run_judge(run);
}

void run_judge(struct run *run) {
    struct eh_measure_input input = {.plan = &run->plan,
                                     .hits = run->hits,
                                     .hit_count = run->hit_count,
                                     .matches = run->matches,
                                     .fates = run->fates,
                                     .pad = &run->pad,
                                     .style = &run->style,
                                     .resolution_ns = run->resolution_ns};
    must(eh_measure(&input, &run->judgement) == EH_OK, "measure");
}

const struct eh_finding *run_find(const struct run *run, enum eh_aspect aspect, enum eh_side side) {
    for (size_t i = 0; i < run->judgement.finding_count; i++) {
        const struct eh_finding *f = &run->judgement.findings[i];
        if (f->aspect == aspect && f->side == side) {
            return f;
        }
    }
    return NULL;
}
