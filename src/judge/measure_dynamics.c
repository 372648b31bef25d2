/* Written dynamics on the player's own scale. */
#include "measure.h"

#include <math.h>

#include "verdict.h"

static bool steady_tap(const struct measures *m, size_t i) {
    return m->row[i].tap && m->row[i].matched && m->strokes[m->row[i].stroke].hairpin < 0;
}

/* Level of a tap, the hands' difference taken out. */
static double level_of(const struct measures *m, size_t i) {
    double difference = isfinite(m->hand_level.value) ? m->hand_level.value : 0.0;
    return m->row[i].level - (m->row[i].hand == 0 ? difference : -difference) / 2.0;
}

static size_t levels_of_mark(struct measures *m, int mark, double *out, size_t *out_topped) {
    size_t n = 0;
    *out_topped = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (steady_tap(m, i) && m->row[i].dynamic == mark) {
            *out_topped += m->row[i].saturated;
            out[n++] = level_of(m, i);
        }
    }
    return n;
}

/* ---- Contrast of neighbouring marks ---- */

struct contrast {
    struct eh_estimate e; /* dB a step */
    int low, high;
    bool topped, floored; /* so the step is at least so much */
};

/* A mark's strokes this near to the pad's floor are cut off by it. */
static const double near_floor_db = 2.0;

/* LEVELS may be reordered. */
static bool floored(const struct measures *m, double *levels, size_t n) {
    return n > 0 && eh_select(levels, n, n / 4) < m->floor_db + near_floor_db;
}

/* Upper minus lower mark, a step; both need the style's least number of taps. Of LOOKS contrasts
 * the least is told: every one of them lies above its own lower limit, so the least does above the
 * lowest of these without more ado (Berger 1982, Technometrics 24, 295-300); its upper limit allows
 * for the choice. */
static struct contrast contrast_of(struct measures *m, int low, int high, double looks) {
    struct contrast c = {.low = low, .high = high};
    size_t top_low = 0;
    size_t top_high = 0;
    size_t n_high = levels_of_mark(m, high, m->a, &top_high);
    size_t n_low = levels_of_mark(m, low, m->b, &top_low);
    double missed = 1.0 - MEASURE_CONFIDENCE;
    double steps = high - low;
    c.e = eh_shift(m->a, n_high, m->b, n_low, 1.0 - missed / looks);
    c.e.value /= steps;
    c.e.high /= steps;
    c.e.low = eh_shift(m->a, n_high, m->b, n_low, MEASURE_CONFIDENCE).low / steps;
    c.topped = 2 * top_high > n_high;
    c.floored = floored(m, m->b, n_low);
    return c;
}

static size_t marks_to_compare(const struct measures *m) {
    size_t n = 0;
    for (int k = 0; k < EH_DYNAMIC_COUNT; k++) {
        n += (double)m->steady[k] >= m->style->least_n;
    }
    return n;
}

/* The neighbours that differ least. */
static struct contrast least_contrast(struct measures *m) {
    struct contrast least = {.e = {NAN, NAN, NAN, 0}};
    size_t marks = marks_to_compare(m);
    double looks = (double)(marks > 2 ? marks - 1 : 1);
    double low = NAN;
    int before = -1;
    for (int k = 0; k < EH_DYNAMIC_COUNT; k++) {
        if ((double)m->steady[k] < m->style->least_n) {
            continue;
        }
        if (before >= 0) {
            struct contrast c = contrast_of(m, before, k, looks);
            low = fmin(low, c.e.low);
            least = !isfinite(least.e.value) || c.e.value < least.e.value ? c : least;
        }
        before = k;
    }
    least.e.low = fmin(least.e.low, low);
    return least;
}

/* Where the exercise hardly holds two marks outside hairpins: dB a mark over all unmarked strokes,
 * by the level written at each. */
static struct contrast slope_of_all(struct measures *m) {
    struct contrast c = {.e = {NAN, NAN, NAN, 0}, .low = -1};
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (m->row[i].tap && m->row[i].matched) {
            m->a[n] = m->strokes[m->row[i].stroke].step_milli / 1000.0 / EH_DYNAMIC_COUNT;
            m->b[n++] = level_of(m, i);
        }
    }
    struct eh_curve curve = eh_curve_fit(m->a, m->b, n, 1, m->c);
    if (isfinite(curve.c[0])) {
        double half = eh_student_quantile(0.5 + MEASURE_CONFIDENCE / 2.0, (double)n - 2.0) *
                      sqrt(curve.cov[1][1]) / EH_DYNAMIC_COUNT;
        double value = curve.c[1] / EH_DYNAMIC_COUNT;
        c.e = (struct eh_estimate){value, value - half, value + half, n};
    }
    return c;
}

/* ---- Passages against their mark ---- */

enum { PASSAGE_LEAST = 6 };

struct passage {
    struct eh_estimate e; /* dB above the mark's other passages */
    int mark;
    int32_t number;
};

/* A mark's own level over the whole exercise. */
struct scale {
    double centre[EH_DYNAMIC_COUNT];
    size_t n[EH_DYNAMIC_COUNT];
};

static void scale_of(struct measures *m, struct scale *s) {
    for (int mark = 0; mark < EH_DYNAMIC_COUNT; mark++) {
        size_t topped = 0;
        s->n[mark] = m->steady[mark] > 0 ? levels_of_mark(m, mark, m->a, &topped) : 0;
        s->centre[mark] = eh_median(m->a, s->n[mark]);
    }
}

/* Levels of the passage from ROW on to A; returns the row after it. */
static size_t passage_levels(struct measures *m, size_t row, size_t *out_n) {
    int32_t number = m->row[row].passage;
    *out_n = 0;
    for (; row < m->count && m->row[row].passage == number; row++) {
        if (steady_tap(m, row)) {
            m->a[(*out_n)++] = level_of(m, row);
        }
    }
    return row;
}

/* About how far a passage lies off. It speaks when it is long enough and not itself most of its
 * mark; the mark's centre, which holds the passage, is corrected for that. NAN when it does not. */
static double deviation(struct measures *m, const struct scale *s, int mark, size_t n) {
    size_t all = s->n[mark];
    if (n < PASSAGE_LEAST || 2 * n > all) {
        return NAN;
    }
    return (eh_median(m->a, n) - s->centre[mark]) * (double)all / (double)(all - n);
}

static size_t passages_that_speak(struct measures *m, const struct scale *s) {
    size_t count = 0;
    for (size_t row = 0; row < m->count;) {
        int mark = m->row[row].dynamic;
        size_t n = 0;
        row = passage_levels(m, row, &n);
        count += n >= PASSAGE_LEAST && 2 * n <= s->n[mark];
    }
    return count;
}

/* How far a passage lies off all others of its mark: the median of all differences, whose error on
 * normal data is 1.0233 of the means' (root of pi / 3; Hodges & Lehmann 1963, Ann. Math. Stat. 34,
 * 598-611). One spread of all taps serves every passage. */
static void measure_passage(struct measures *m, double wide, struct passage *p) {
    size_t own = 0;
    size_t others = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (!steady_tap(m, i) || m->row[i].dynamic != p->mark) {
            continue;
        }
        if (m->row[i].passage == p->number) {
            m->a[own++] = level_of(m, i);
        } else {
            m->b[others++] = level_of(m, i);
        }
    }
    double value = eh_shift(m->a, own, m->b, others, MEASURE_CONFIDENCE).value;
    double half = wide * 1.0233 * m->tap_spread * sqrt(1.0 / (double)own + 1.0 / (double)others);
    p->e = (struct eh_estimate){value, value - half, value + half, own};
}

/* The passage furthest off; its interval allows for how many were looked at. */
static struct passage oddest_passage(struct measures *m) {
    struct passage oddest = {.e = {NAN, NAN, NAN, 0}};
    struct scale s;
    scale_of(m, &s);
    size_t looks = passages_that_speak(m, &s);
    double furthest = NAN;
    for (size_t row = 0; row < m->count && looks > 0;) {
        size_t first = row;
        size_t n = 0;
        row = passage_levels(m, row, &n);
        double off = fabs(deviation(m, &s, m->row[first].dynamic, n));
        if (isfinite(off) && !(off <= furthest)) {
            furthest = off;
            oddest.mark = m->row[first].dynamic;
            oddest.number = m->row[first].passage;
        }
    }
    if (isfinite(furthest)) {
        double tail = (1.0 - MEASURE_CONFIDENCE) / 2.0 / (double)looks;
        measure_passage(m, eh_normal_quantile(1.0 - tail), &oddest);
    }
    return oddest;
}

static void note_passage(struct measures *m, const struct passage *p) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (steady_tap(m, i) && m->row[i].passage == p->number) {
            measure_bars_note(m, i, 1.0);
        }
    }
}

static void note_mark(struct measures *m, int mark) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (mark >= 0 && steady_tap(m, i) && m->row[i].dynamic == mark) {
            measure_bars_note(m, i, 1.0);
        }
    }
}

/* ---- Verdict ---- */

static void say_marks(const struct measures *m, struct eh_finding *f, const struct contrast *c,
                      const struct verdict_call *call) {
    struct verdict_words w = verdict_say(f);
    if (!isfinite(f->value)) {
        say(&w, "dynamics: too few unmarked strokes to compare two marks");
        return;
    }
    if (c->low >= 0) {
        say(&w, "from ");
        say(&w, eh_dynamic_text((enum eh_dynamic)c->low));
        say(&w, " to ");
        say(&w, eh_dynamic_text((enum eh_dynamic)c->high));
    } else {
        say(&w, "over all written levels");
    }
    say(&w, f->fault == EH_FAULT_YES ? " there is hardly a step: " : " you rise by ");
    say_number(&w, f->value, 1);
    say(&w, " dB a mark, where ");
    say_range(&w, f->limit_low, NAN, 1, "dB");
    say(&w, " shows");
    say_basis(&w, "stroke", "strokes");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "dB");
    }
    say_pad(&w, m->in->pad);
}

static void say_passage(const struct measures *m, struct eh_finding *f, const struct passage *p) {
    struct verdict_words w = verdict_say(f);
    say(&w, "a passage marked ");
    say(&w, eh_dynamic_text((enum eh_dynamic)p->mark));
    say(&w, " is ");
    say_number(&w, fabs(f->value), 1);
    say(&w, f->value > 0.0 ? " dB louder" : " dB softer");
    say(&w, " than your other passages of that mark, where ");
    say_number(&w, f->limit_high, 1);
    say(&w, " dB would pass");
    say_basis(&w, "stroke", "strokes");
    say_pad(&w, m->in->pad);
}

static bool judge_passage(struct measures *m, struct eh_finding *f) {
    struct passage p = oddest_passage(m);
    p.e = measure_widen_scale(m, p.e);
    double limit = fmax(m->style->dynamics_db, LIMEN_DB);
    struct verdict_call call = verdict_place(&p.e, -limit, limit, PASSAGE_LEAST);
    if (call.place != PLACE_ABOVE && call.place != PLACE_BELOW) {
        return false;
    }
    bool loud = call.place == PLACE_ABOVE;
    verdict_fault(f, EH_VERDICT_OFF, loud ? EH_DIRECTION_LOUD : EH_DIRECTION_SOFT);
    verdict_numbers(f, &p.e, -limit, limit, "dB");
    note_passage(m, &p);
    measure_bars_give(m, 1.0, f);
    say_passage(m, f, &p);
    return true;
}

/* Unmarked strokes of each mark outside hairpins, as written. */
static void count_steady(struct measures *m) {
    for (size_t i = 0; i < m->count; i++) {
        if (m->row[i].tap && m->strokes[m->row[i].stroke].hairpin < 0) {
            m->steady[m->row[i].dynamic]++;
        }
    }
}

static bool two_marks(uint32_t marks) {
    return (marks & (marks - 1)) != 0;
}

void measure_dynamics(struct measures *m) {
    if (!two_marks(m->census.marks)) {
        return;
    }
    count_steady(m);
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_DYNAMICS, EH_SIDE_BOTH);
    struct contrast c = marks_to_compare(m) > 1 ? least_contrast(m) : slope_of_all(m);
    c.e = measure_widen_scale(m, c.e);
    struct verdict_call call = verdict_place(&c.e, m->style->contrast_db, NAN, m->style->least_n);
    if (c.topped && call.place != PLACE_INSIDE && call.reason != REASON_FEW) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_SATURATED};
    } else if (c.floored && call.place != PLACE_INSIDE && call.reason != REASON_FEW) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_FLOOR};
    }
    verdict_numbers(f, &c.e, m->style->contrast_db, NAN, "dB");
    if (call.place == PLACE_BELOW) {
        verdict_fault(f, EH_VERDICT_OFF, EH_DIRECTION_FLAT);
        note_mark(m, c.low < 0 ? -1 : c.high);
        measure_bars_give(m, 1.0, f);
    } else if (judge_passage(m, f)) {
        return;
    } else if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_AS_WRITTEN);
    }
    say_marks(m, f, &c, &call);
}
