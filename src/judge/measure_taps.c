/* Unmarked strokes: their evenness, the hands against each other, and places that stick out. */
#include "measure.h"

#include <math.h>
#include <stdio.h>

#include "verdict.h"

static bool is_tap(const struct measures *m, size_t i) {
    return m->row[i].tap && m->row[i].matched && isfinite(m->level_rest[i]);
}

static bool topped(const struct measures *m, int hand) {
    size_t all = 0;
    size_t top = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (m->row[i].tap && m->row[i].matched && (hand < 0 || m->row[i].hand == hand)) {
            all++;
            top += m->row[i].saturated;
        }
    }
    return 2 * top > all;
}

/* ---- Tap level ---- */

/* Second strokes of one hand to A, less the taps around; they differ from the first ones as a
 * whole (that is diddle-level's), so they are centred before they are looked at with the others. */
static size_t centred_seconds(struct measures *m, int hand, double *out) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        if (r->kind == EH_KIND_SECOND && r->hand == hand && r->accent == 0 && r->graces == 0 &&
            isfinite(m->level_rest[i])) {
            m->b[n] = m->level_rest[i];
            out[n++] = m->level_rest[i];
        }
    }
    double centre = eh_median(m->b, n);
    for (size_t i = 0; i < n; i++) {
        out[i] -= centre;
    }
    return n;
}

static size_t tap_rests(struct measures *m) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (is_tap(m, i)) {
            m->a[n++] = m->level_rest[i];
        }
    }
    n += centred_seconds(m, 0, m->a + n);
    n += centred_seconds(m, 1, m->a + n);
    return n;
}

static void note_spread(struct measures *m) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (is_tap(m, i)) {
            measure_bars_note(m, i, fabs(m->level_rest[i]));
        }
    }
}

void measure_tap_level(struct measures *m) {
    if (m->census.taps[0] + m->census.taps[1] == 0) {
        return;
    }
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_TAP_LEVEL, EH_SIDE_BOTH);
    size_t n = tap_rests(m);
    struct eh_estimate e = measure_widen_scale(m, eh_spread(m->a, n, MEASURE_CONFIDENCE));
    double limit = fmax(m->style->tap_level_db, LIMEN_DB);
    struct verdict_call call = verdict_place(&e, NAN, limit, m->style->least_n);
    if (topped(m, -1)) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_SATURATED};
    }
    verdict_numbers(f, &e, NAN, limit, "dB");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_EVEN);
    } else if (call.place == PLACE_ABOVE) {
        verdict_fault(f, EH_VERDICT_UNEVEN, EH_DIRECTION_NONE);
        note_spread(m);
        measure_bars_give(m, limit, f);
    }
    struct verdict_words w = verdict_say(f);
    say(&w, "unmarked strokes vary by ");
    say_number(&w, e.value, 1);
    say(&w, " dB about their surroundings, where ");
    say_range(&w, NAN, limit, 1, "dB");
    say(&w, " is even");
    say_basis(&w, "stroke", "strokes");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call.reason, 1, "dB");
    }
    say_pad(&w, m->in->pad);
}

/* ---- Hands ---- */

/* What one stroke says of the hands' difference, both hands' rests counting alike. */
static double read_difference(const struct measures *m, size_t row, const void *what) {
    (void)what;
    double rest = is_tap(m, row) ? m->level_rest[row] : NAN;
    return m->hand_level.value + (m->row[row].hand == 0 ? 2.0 : -2.0) * rest;
}

static void say_hand_level(const struct measures *m, struct eh_finding *f,
                           const struct verdict_call *call, double whole) {
    struct verdict_words w = verdict_say(f);
    if (!isfinite(f->value)) {
        say(&w,
            "the hands' levels cannot be told apart: too few unmarked strokes of one hand among "
            "the other's");
        return;
    }
    if (fabs(f->value) < 0.05) {
        say(&w, "the hands are equally loud on unmarked strokes, where ");
    } else {
        say(&w, f->value < 0.0 ? "the left hand is " : "the right hand is ");
        say_number(&w, fabs(f->value), 1);
        say(&w, " dB softer than the other on unmarked strokes, where ");
    }
    say_number(&w, f->limit_high, 1);
    say(&w, " dB would be fine");
    if (isfinite(whole)) {
        say_basis(&w, "stroke", "strokes");
    } else {
        say_basis(&w, "stroke of the rarer hand", "strokes of the rarer hand");
    }
    say_whole(&w, whole, 1, " dB, left less right");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "dB, left less right");
    }
    say_pad(&w, m->in->pad);
}

/* What each stroke shows of the hands' difference: half of it, and its own rest towards it. */
static void note_soft(struct measures *m, int soft) {
    double half = fabs(m->hand_level.value) / 2.0;
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (is_tap(m, i)) {
            double rest = m->level_rest[i];
            measure_bars_note(m, i, half + (m->row[i].hand == soft ? -rest : rest));
        }
    }
}

void measure_hand_level(struct measures *m) {
    if (m->census.taps[0] == 0 || m->census.taps[1] == 0) {
        return;
    }
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_HAND_LEVEL, EH_SIDE_BOTH);
    struct eh_estimate e = measure_widen_scale(m, m->hand_level);
    double limit = fmax(m->style->hand_level_db, LIMEN_DB);
    struct verdict_call call = verdict_place(&e, -limit, limit, m->style->least_n);
    if (topped(m, 0) || topped(m, 1)) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_SATURATED};
    }
    verdict_numbers(f, &e, -limit, limit, "dB");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_MATCHED);
    } else if (call.place != PLACE_UNKNOWN) {
        bool left = call.place == PLACE_BELOW;
        verdict_fault(f, EH_VERDICT_UNMATCHED,
                      left ? EH_DIRECTION_LEFT_SOFT : EH_DIRECTION_RIGHT_SOFT);
        note_soft(m, left ? 0 : 1);
        measure_bars_give(m, limit / 2.0, f);
    }
    struct measure_limits limits = {-limit, limit, 2.0 * m->tap_spread};
    struct measure_window window;
    double whole = NAN;
    if (f->fault == EH_FAULT_NO && measure_bars_apart(m, read_difference, NULL, &limits, &window)) {
        verdict_fault(f, EH_VERDICT_UNMATCHED,
                      window.above ? EH_DIRECTION_RIGHT_SOFT : EH_DIRECTION_LEFT_SOFT);
        verdict_numbers(f, &window.e, -limit, limit, "dB");
        measure_window_give(&window, f);
        whole = e.value;
    }
    say_hand_level(m, f, &call, whole);
}
