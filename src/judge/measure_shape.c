/* Hairpins that have the right slope as a whole: whether one turns round on its way, and whether it
 * reaches the mark that it leads to, on the player's own scale. */
#include <math.h>
#include <stdlib.h>

#include "measure.h"
#include "verdict.h"

/* Written hairpins that are looked at; strokes of a third below which it says nothing. */
enum { HAIRPINS = 64, THIRDS = 3, LEAST = 4 };

/* A mean of readings with human tails errs by so much more than of normal ones. */
static const double tails = 1.2;

/* All times that a written hairpin was played. */
struct shape {
    double sum[THIRDS], x[THIRDS]; /* levels, and places in 0 .. 1 */
    uint32_t n[THIRDS];
    int32_t bar;
};

/* The level of each mark outside hairpins. */
struct scale {
    double sum[EH_DYNAMIC_COUNT];
    uint32_t n[EH_DYNAMIC_COUNT];
};

static double level_of(const struct measures *m, size_t i) {
    double difference = isfinite(m->hand_level.value) ? m->hand_level.value : 0.0;
    return m->row[i].level - (m->row[i].hand == 0 ? difference : -difference) / 2.0;
}

static void collect(const struct measures *m, struct shape *shapes, struct scale *scale) {
    size_t written = 0;
    const struct eh_hairpin *hairpins = eh_exercise_hairpins(m->in->plan->exercise, &written);
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        const struct eh_stroke *s = &m->strokes[r->stroke];
        if (!r->tap || !r->matched || s->hairpin >= HAIRPINS) {
            continue;
        }
        if (s->hairpin < 0) {
            scale->sum[r->dynamic] += level_of(m, i);
            scale->n[r->dynamic]++;
            continue;
        }
        const struct eh_hairpin *h = &hairpins[s->hairpin];
        double x = (double)(s->at - h->from) / (double)(h->to - h->from);
        int third = x < 1.0 / 3.0 ? 0 : x < 2.0 / 3.0 ? 1 : 2;
        struct shape *shape = &shapes[s->hairpin];
        shape->sum[third] += level_of(m, i);
        shape->x[third] += x;
        shape->bar = shape->n[0] + shape->n[1] + shape->n[2] == 0 ? r->bar : shape->bar;
        shape->n[third]++;
    }
}

/* What one look came to: dB the wrong way (a turn) or short of the mark (an end). */
struct look {
    double value, error;
    uint32_t n;
    int steps; /* written, in the written direction positive */
    int32_t bar;
    int mark; /* an end: the mark that it leads to; a turn: -1 */
};

/* How far the level goes the wrong way from one third to the next. */
static bool turn(const struct measures *m, const struct shape *s, int third, int steps,
                 struct look *out) {
    uint32_t a = s->n[third];
    uint32_t b = s->n[third + 1];
    if (a < LEAST || b < LEAST || steps == 0) {
        return false;
    }
    double rise = s->sum[third + 1] / b - s->sum[third] / a;
    double error = tails * m->tap_spread * sqrt(1.0 / a + 1.0 / b);
    *out = (struct look){steps > 0 ? -rise : rise, error, a + b, steps, s->bar, -1};
    return true;
}

/* How far the last third stays behind the line between the two marks' own levels. */
static bool end(const struct measures *m, const struct shape *s, const struct scale *scale,
                const struct eh_hairpin *h, struct look *out) {
    int from = h->from_dynamic;
    int to = h->to_dynamic;
    double least = m->style->least_n;
    if (s->n[2] < LEAST || from == to || scale->n[from] < least || scale->n[to] < least) {
        return false;
    }
    double low = scale->sum[from] / scale->n[from];
    double high = scale->sum[to] / scale->n[to];
    double wanted = low + (high - low) * s->x[2] / s->n[2];
    double reached = s->sum[2] / s->n[2];
    double error = tails * m->tap_spread * sqrt(1.0 / s->n[2] + 1.0 / scale->n[to]);
    *out = (struct look){
        to > from ? wanted - reached : reached - wanted, error, s->n[2], to - from, s->bar, to};
    return true;
}

/* The look that is surest beyond its limit. */
struct worst {
    struct look look;
    double over;
};

static void weigh(struct worst *w, const struct look *l, double limit, double wide) {
    double over = l->value - wide * l->error - limit;
    if (over > w->over) {
        *w = (struct worst){*l, over};
    }
}

static void say_turn(const struct measures *m, struct eh_finding *f, const struct look *l) {
    struct verdict_words w = verdict_say(f);
    say(&w, "the hairpin turns round: it ");
    say(&w, l->steps > 0 ? "falls by " : "rises by ");
    say_number(&w, l->value, 1);
    say(&w, l->steps > 0 ? " dB where it should only rise" : " dB where it should only fall");
    say_basis(&w, "stroke", "strokes");
    say_pad(&w, m->in->pad);
}

static void say_end(const struct measures *m, struct eh_finding *f, const struct look *l) {
    struct verdict_words w = verdict_say(f);
    say(&w, "the hairpin ends too soon: ");
    say_number(&w, l->value, 1);
    say(&w, " dB short of your own ");
    say(&w, eh_dynamic_text((enum eh_dynamic)l->mark));
    say(&w, ", where ");
    say_number(&w, f->limit_high, 1);
    say(&w, " dB would pass");
    say_basis(&w, "stroke", "strokes");
    say_pad(&w, m->in->pad);
}

static struct eh_estimate estimate(const struct measures *m, const struct look *l, double wide,
                                   double unit) {
    double half = wide * l->error;
    struct eh_estimate e = {l->value * unit, (l->value - half) * unit, (l->value + half) * unit,
                            l->n};
    if (unit < 0.0) {
        double low = e.high;
        e.high = e.low;
        e.low = low;
    }
    return measure_widen_scale(m, e);
}

static bool conclude(struct measures *m, struct eh_finding *f, const struct worst *worst,
                     double wide) {
    const struct look *l = &worst->look;
    if (!(worst->over > 0.0)) {
        return false;
    }
    f->bar_count = 1;
    f->bars[0] = l->bar;
    if (l->mark < 0) {
        /* A third of the hairpin is written to move by a third of its marks. */
        struct eh_estimate e = estimate(m, l, wide, -3.0 / abs(l->steps));
        verdict_fault(f, EH_VERDICT_REVERSED, EH_DIRECTION_NONE);
        verdict_numbers(f, &e, m->style->contrast_db, NAN, "dB");
        say_turn(m, f, l);
    } else {
        struct eh_estimate e = estimate(m, l, wide, 1.0);
        verdict_fault(f, EH_VERDICT_FLAT, EH_DIRECTION_NONE);
        verdict_numbers(f, &e, NAN, m->style->dynamics_db, "dB");
        say_end(m, f, l);
    }
    return true;
}

bool measure_hairpin_shape(struct measures *m, struct eh_finding *finding) {
    struct shape shapes[HAIRPINS] = {{{0}, {0}, {0}, 0}};
    struct scale scale = {{0}, {0}};
    struct worst turned = {{0}, 0.0}; /* goes before an end that is short, which it brings along */
    struct worst ended = {{0}, 0.0};
    size_t written = 0;
    const struct eh_hairpin *hairpins = eh_exercise_hairpins(m->in->plan->exercise, &written);
    written = written < HAIRPINS ? written : HAIRPINS;
    collect(m, shapes, &scale);
    /* Three looks at each; all of them together are given one chance in twenty. */
    double wide = eh_normal_quantile(1.0 - 0.05 / (3.0 * (double)(written > 0 ? written : 1)));
    for (size_t k = 0; k < written; k++) {
        struct look l;
        int steps = (int)hairpins[k].to_dynamic - (int)hairpins[k].from_dynamic;
        for (int third = 0; third + 1 < THIRDS; third++) {
            if (turn(m, &shapes[k], third, steps, &l)) {
                weigh(&turned, &l, LIMEN_DB, wide);
            }
        }
        if (end(m, &shapes[k], &scale, &hairpins[k], &l)) {
            weigh(&ended, &l, fmax(m->style->dynamics_db, LIMEN_DB), wide);
        }
    }
    return conclude(m, finding, turned.over > 0.0 ? &turned : &ended, wide);
}
