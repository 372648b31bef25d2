/* Time: the hands against each other, the spread, the tempo. */
#include "measure.h"

#include <math.h>

#include "verdict.h"

/* ---- Hands ---- */

/* WHOLE: of the run, where a few bars are told of; else NAN. */
static void say_hand_timing(struct eh_finding *f, const struct verdict_call *call, double whole) {
    struct verdict_words w = verdict_say(f);
    if (!isfinite(f->value)) {
        say(&w, "the hands' timing cannot be told apart: too few strokes of one hand among the "
                "other's");
        return;
    }
    if (fabs(f->value) < 0.05) {
        say(&w, "the hands come equally early or late, where ");
    } else {
        say(&w, f->value > 0.0 ? "the left hand comes " : "the right hand comes ");
        say_number(&w, fabs(f->value), 1);
        say(&w, " ms later than the other, where ");
    }
    say_number(&w, f->limit_high, 1);
    say(&w, " ms would be fine");
    say(&w,
        f->fault == EH_FAULT_YES ? "; if every other stroke is meant to swing, this is it" : "");
    if (isfinite(whole)) {
        say_basis(&w, "stroke", "strokes");
    } else {
        say_basis(&w, "stroke of the rarer hand", "strokes of the rarer hand");
    }
    say_whole(&w, whole, 1, " ms, left less right");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "ms, left less right");
    }
}

static double median_gap(struct measures *m) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (m->row[i].beat) {
            m->a[n++] = m->row[i].gap_ms;
        }
    }
    return eh_median(m->a, n);
}

static struct eh_estimate with_clock(const struct measures *m, struct eh_estimate e) {
    double add = 1.645 * m->step_ms;
    e.low = e.value - hypot(e.value - e.low, add);
    e.high = e.value + hypot(e.high - e.value, add);
    return e;
}

/* What each stroke shows of the hands' difference: half of it, and its own rest towards it. */
static void note_late(struct measures *m, int late) {
    double half = fabs(m->hand_time.value) / 2.0;
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (isfinite(m->time_rest[i])) {
            double rest = m->time_rest[i];
            measure_bars_note(m, i, half + (m->row[i].hand == late ? rest : -rest));
        }
    }
}

/* What one stroke says of the hands' difference, both hands' rests counting alike. */
static double read_difference(const struct measures *m, size_t row, const void *what) {
    (void)what;
    return m->hand_time.value + (m->row[row].hand == 0 ? 2.0 : -2.0) * m->time_rest[row];
}

static double rest_spread(struct measures *m) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (isfinite(m->time_rest[i])) {
            m->a[n++] = m->time_rest[i];
        }
    }
    return eh_spread(m->a, n, MEASURE_CONFIDENCE).value;
}

void measure_hand_timing(struct measures *m) {
    if (m->census.beats[0] == 0 || m->census.beats[1] == 0) {
        return;
    }
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_HAND_TIMING, EH_SIDE_BOTH);
    struct eh_estimate e = with_clock(m, m->hand_time);
    double limit = fmax(m->style->hand_timing_ms, limen_ms(median_gap(m)));
    struct verdict_call call = verdict_place(&e, -limit, limit, m->style->least_n);
    if (m->clock_ms > limit && call.reason != REASON_FEW) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_COARSE};
    }
    verdict_numbers(f, &e, -limit, limit, "ms");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_MATCHED);
    } else if (call.place != PLACE_UNKNOWN) {
        bool left = call.place == PLACE_ABOVE;
        verdict_fault(f, EH_VERDICT_UNMATCHED,
                      left ? EH_DIRECTION_LEFT_LATE : EH_DIRECTION_RIGHT_LATE);
        note_late(m, left ? 0 : 1);
        measure_bars_give(m, limit / 2.0, f);
    }
    double whole = NAN;
    if (f->fault == EH_FAULT_NO) {
        struct measure_limits limits = {-limit, limit, 2.0 * rest_spread(m)};
        struct measure_window window;
        if (measure_bars_apart(m, read_difference, NULL, &limits, &window)) {
            verdict_fault(f, EH_VERDICT_UNMATCHED,
                          window.above ? EH_DIRECTION_LEFT_LATE : EH_DIRECTION_RIGHT_LATE);
            verdict_numbers(f, &window.e, -limit, limit, "ms");
            measure_window_give(&window, f);
            whole = e.value;
        }
    }
    say_hand_timing(f, &call, whole);
}

/* ---- Spread ---- */

enum { PLACES = 32, PLACE_LEAST = 8 };

static eh_ticks in_beat(const struct measures *m, size_t i) {
    return m->strokes[m->row[i].stroke].in_bar % EH_TICKS_PER_QUARTER;
}

/* What a place in the beat is always early or late by belongs to the player's feel, not to the
 * spread: taken out where the place comes often enough. Returns how many places there are. */
static size_t remove_places(struct measures *m, size_t n) {
    eh_ticks at[PLACES];
    double sum[PLACES] = {0};
    size_t count[PLACES] = {0};
    size_t places = 0;
    for (size_t i = 0; i < n; i++) {
        size_t k = 0;
        eh_ticks place = in_beat(m, m->index[i]);
        while (k < places && at[k] != place) {
            k++;
        }
        m->group[i] = (uint8_t)k;
        if (k == PLACES) {
            continue;
        }
        places += k == places;
        at[k] = place;
        sum[k] += m->a[i];
        count[k]++;
    }
    size_t used = 0;
    for (size_t k = 0; k < places; k++) {
        used += count[k] >= PLACE_LEAST;
    }
    for (size_t i = 0; i < n; i++) {
        size_t k = m->group[i];
        if (k < PLACES && count[k] >= PLACE_LEAST) {
            m->a[i] -= sum[k] / (double)count[k];
        }
    }
    return used;
}

/* The spacing that a share of it is taken of: beyond 250 ms the spread in ms hardly grows (about
 * 12 ms from 115 to 300 ms a stroke on the Groove MIDI Dataset 1.0.0). */
static const double most_spacing_ms = 250.0;

static struct eh_estimate time_spread(struct measures *m) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (isfinite(m->time_rest[i])) {
            m->index[n] = (uint32_t)i;
            m->a[n++] = m->time_rest[i];
        }
    }
    size_t places = remove_places(m, n);
    struct eh_estimate e = eh_spread(m->a, n, MEASURE_CONFIDENCE);
    double lost = n > places + 2 ? sqrt((double)n / (double)(n - places)) : 1.0;
    e.value *= lost;
    e.low *= lost;
    e.high *= lost;
    return e;
}

static void note_wild(struct measures *m) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (isfinite(m->time_rest[i])) {
            measure_bars_note(m, i, fabs(m->time_rest[i]));
        }
    }
}

void measure_timing(struct measures *m) {
    if (m->census.beats[0] + m->census.beats[1] < 2) {
        return;
    }
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_TIMING, EH_SIDE_BOTH);
    double gap = fmin(median_gap(m), most_spacing_ms);
    double limit = fmax(m->style->timing_ms, m->style->timing_share * gap);
    limit = fmax(limit, limen_ms(gap));
    struct eh_estimate e = time_spread(m);
    struct verdict_call call = verdict_place(&e, NAN, limit, m->style->least_n);
    if (m->clock_ms > limit && call.reason != REASON_FEW) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_COARSE};
    }
    verdict_numbers(f, &e, NAN, limit, "ms");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_STEADY);
    } else if (call.place == PLACE_ABOVE) {
        verdict_fault(f, EH_VERDICT_UNSTEADY, EH_DIRECTION_NONE);
        note_wild(m);
        measure_bars_give(m, limit, f);
    }
    struct verdict_words w = verdict_say(f);
    say(&w, "strokes scatter by ");
    say_number(&w, e.value, 1);
    say(&w, " ms about your own local tempo, where ");
    say_range(&w, NAN, limit, 1, "ms");
    say(&w, " is steady");
    say_basis(&w, "stroke", "strokes");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call.reason, 1, "ms");
    }
}
