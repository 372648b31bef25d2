/* Hairpins: whether the level rises or falls from end to end as written. Their shape and their end
 * are in measure_shape.c. */
#include "measure.h"

#include <math.h>
#include <stdlib.h>

#include "verdict.h"

enum { HAIRPINS = 64, HAIRPIN_LEAST = 6 };

/* One hairpin as played: dB a written step, in the written direction. */
struct slope {
    double value;
    double weight; /* how much it tells: the squares of its strokes' places, in steps */
    size_t n;
    int32_t bar;
};

struct slopes {
    struct slope at[HAIRPINS];
    size_t count, n;
    double scatter; /* of all their strokes about their lines, dB */
};

static bool inside(const struct measures *m, size_t i, int32_t hairpin) {
    return m->row[i].tap && m->row[i].matched && m->strokes[m->row[i].stroke].hairpin == hairpin;
}

static double level_of(const struct measures *m, size_t i) {
    double difference = isfinite(m->hand_level.value) ? m->hand_level.value : 0.0;
    return m->row[i].level - (m->row[i].hand == 0 ? difference : -difference) / 2.0;
}

/* The stretch of rows from FROM that stands in one hairpin: its taps over 0 .. 1 of the hairpin to
 * A and B. Returns the row after it. */
static size_t lay(struct measures *m, size_t from, const struct eh_hairpin *h, size_t *out_n) {
    int32_t hairpin = m->strokes[m->row[from].stroke].hairpin;
    int32_t passage = m->row[from].passage;
    size_t i = from;
    *out_n = 0;
    for (; i < m->count && m->row[i].passage == passage; i++) {
        if (inside(m, i, hairpin)) {
            const struct eh_stroke *s = &m->strokes[m->row[i].stroke];
            m->a[*out_n] = (double)(s->at - h->from) / (double)(h->to - h->from);
            m->b[(*out_n)++] = level_of(m, i);
        }
    }
    return i;
}

/* What the strokes of A and B leave beside their line goes to the others in E, scaled up by what
 * the line took. */
static void add_rests(struct measures *m, double slope, size_t n, struct slopes *s) {
    for (size_t k = 0; k < n; k++) {
        m->c[k] = m->b[k] - slope * m->a[k];
        m->e[s->n + k] = m->c[k];
    }
    double height = eh_median(m->c, n);
    double left = sqrt((double)n / ((double)n - 2.0));
    for (size_t k = 0; k < n; k++) {
        m->e[s->n + k] = (m->e[s->n + k] - height) * left;
    }
    s->n += n;
}

static void add_slope(struct measures *m, const struct eh_hairpin *h, size_t n, size_t row,
                      struct slopes *s) {
    int steps = (int)h->to_dynamic - (int)h->from_dynamic;
    if (n < HAIRPIN_LEAST || steps == 0 || s->count == HAIRPINS) {
        return;
    }
    struct eh_estimate e = eh_slope(m->a, m->b, n, MEASURE_CONFIDENCE, m->c);
    double mean = eh_mean(m->a, n);
    double squares = 0.0;
    for (size_t k = 0; k < n; k++) {
        squares += (m->a[k] - mean) * (m->a[k] - mean);
    }
    s->at[s->count++] = (struct slope){.value = e.value / steps,
                                       .weight = squares * steps * steps,
                                       .n = n,
                                       .bar = m->row[row].bar};
    add_rests(m, e.value, n, s);
}

static void collect(struct measures *m, struct slopes *s) {
    const struct eh_hairpin *hairpins = eh_exercise_hairpins(m->in->plan->exercise, NULL);
    s->count = s->n = 0;
    for (size_t i = 0; i < m->count;) {
        int32_t hairpin = m->strokes[m->row[i].stroke].hairpin;
        if (hairpin < 0) {
            i++;
            continue;
        }
        size_t n = 0;
        size_t end = lay(m, i, &hairpins[hairpin], &n);
        add_slope(m, &hairpins[hairpin], n, i, s);
        i = end;
    }
    s->scatter = eh_scale(m->e, s->n, MEASURE_BOUND, MEASURE_CONFIDENCE).value;
}

/* Error of a slope of WEIGHT: that of least squares over the root of the slope's efficiency on
 * normal data, 3 / pi (Sen 1968, JASA 63, 1379-1389). One scatter serves all hairpins: from each
 * one's own its error would be too uncertain to weigh by (Meier 1953, Biometrics 9, 59-73). */
static double error_of(const struct slopes *s, double weight) {
    return 1.0233 * s->scatter / sqrt(weight);
}

/* How many errors a limit lies away that is passed by one chance in 1 / TAIL; the scatter is known
 * from the strokes beside two figures a line, four in five of which count (eh_scale). */
static double reach(const struct slopes *s, double tail) {
    double free = 0.8 * ((double)s->n - 2.0 * (double)s->count);
    return eh_student_quantile(1.0 - tail, fmax(free, 3.0));
}

static struct eh_estimate estimate(double value, double half, size_t n) {
    return (struct eh_estimate){value, value - half, value + half, n};
}

/* All hairpins together, each by how much it tells. */
static struct eh_estimate pooled(const struct slopes *s) {
    double sum = 0.0;
    double weights = 0.0;
    for (size_t k = 0; k < s->count; k++) {
        sum += s->at[k].weight * s->at[k].value;
        weights += s->at[k].weight;
    }
    if (!(weights > 0.0)) {
        return (struct eh_estimate){NAN, NAN, NAN, 0};
    }
    double tail = (1.0 - MEASURE_CONFIDENCE) / 2.0;
    return estimate(sum / weights, reach(s, tail) * error_of(s, weights), s->n);
}

/* Hairpins that are looked at one by one are given so much together, as rows of bars are: it comes
 * on top of what all of them as a whole may err by. */
static const double single_chance = 0.01;

/* One hairpin that surely fails although the others hold; the interval allows for the choice. */
static const struct slope *failed(const struct slopes *s, double limit, struct eh_estimate *out) {
    double wide = s->count > 0 ? reach(s, single_chance / (double)s->count) : 0.0;
    const struct slope *worst = NULL;
    for (size_t k = 0; k < s->count; k++) {
        const struct slope *at = &s->at[k];
        if (at->value + wide * error_of(s, at->weight) < limit &&
            (worst == NULL || at->value < worst->value)) {
            worst = at;
        }
    }
    if (worst != NULL) {
        *out = estimate(worst->value, wide * error_of(s, worst->weight), worst->n);
    }
    return worst;
}

static void say_hairpin(const struct measures *m, struct eh_finding *f,
                        const struct verdict_call *call) {
    struct verdict_words w = verdict_say(f);
    if (!isfinite(f->value)) {
        say(&w, "hairpins: too few unmarked strokes inside one to see its slope");
        return;
    }
    say(&w, f->verdict == EH_VERDICT_REVERSED ? "the hairpin goes the wrong way: "
            : f->verdict == EH_VERDICT_FLAT   ? "the hairpin stays flat: "
                                              : "hairpins move by ");
    say_number(&w, f->value, 1);
    say(&w, " dB a written mark, where ");
    say_range(&w, f->limit_low, NAN, 1, "dB");
    say(&w, " shows");
    say_basis(&w, "stroke", "strokes");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "dB");
    }
    say_pad(&w, m->in->pad);
}

/* Reversed: surely the wrong way, by more than this a written mark: over a hairpin of four marks
 * nearly the limen of 1 dB. */
static const double reversed_db = 0.2;

static void fault_of(struct eh_finding *f, const struct eh_estimate *e, int32_t bar) {
    verdict_fault(f, e->high < -reversed_db ? EH_VERDICT_REVERSED : EH_VERDICT_FLAT,
                  EH_DIRECTION_NONE);
    f->bar_count = 1;
    f->bars[0] = bar;
}

static const struct slope *lowest(const struct slopes *s) {
    const struct slope *low = &s->at[0];
    for (size_t k = 1; k < s->count; k++) {
        low = s->at[k].value < low->value ? &s->at[k] : low;
    }
    return low;
}

static bool any_hairpin(const struct measures *m) {
    size_t written = 0;
    (void)eh_exercise_hairpins(m->in->plan->exercise, &written);
    bool any = false;
    for (size_t i = 0; i < m->count && written > 0; i++) {
        any = any || m->strokes[m->row[i].stroke].hairpin >= 0;
    }
    return any;
}

/* Much of it at the pad's top, or lost under its floor: a hairpin cannot show. */
static enum verdict_reason clipped(const struct measures *m) {
    size_t all = 0;
    size_t top = 0;
    size_t missing = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (m->row[i].tap && m->strokes[m->row[i].stroke].hairpin >= 0) {
            all++;
            top += m->row[i].saturated ? 1 : 0;
            missing += m->row[i].hidden == HIDDEN_FLOOR ? 1 : 0;
        }
    }
    return 5 * missing > all ? REASON_FLOOR : 3 * top > all ? REASON_SATURATED : REASON_NONE;
}

void measure_hairpin(struct measures *m) {
    if (!any_hairpin(m)) {
        return;
    }
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_HAIRPIN, EH_SIDE_BOTH);
    struct slopes s;
    collect(m, &s);
    double limit = m->style->contrast_db;
    struct eh_estimate e = measure_widen_scale(m, pooled(&s));
    struct eh_estimate one = e;
    struct verdict_call call = verdict_place(&e, limit, NAN, m->style->least_n);
    const struct slope *bad = failed(&s, limit, &one);
    one = measure_widen_scale(m, one);
    verdict_numbers(f, &e, limit, NAN, "dB");
    enum verdict_reason lost = clipped(m);
    if (call.place == PLACE_BELOW && s.count > 0 && lost != REASON_NONE) {
        call = (struct verdict_call){PLACE_UNKNOWN, lost};
    } else if (call.place == PLACE_BELOW && s.count > 0) {
        fault_of(f, &e, lowest(&s)->bar);
    } else if (bad != NULL && one.high < limit && (double)bad->n >= m->style->least_n &&
               lost == REASON_NONE) {
        verdict_numbers(f, &one, limit, NAN, "dB");
        fault_of(f, &one, bad->bar);
    } else if (measure_hairpin_shape(m, f)) {
        return;
    } else if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_SHAPED);
    }
    say_hairpin(m, f, &call);
}
