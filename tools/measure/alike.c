#include "alike.h"

#include <math.h>

/* Half of what lies between 16ths at 250 to the quarter: whoever plays for the one and means the
 * other can hardly be nearer. */
static const double near_ms = 30.0;

/* From the first bar line on. */
static double since_ms(const struct written *w, eh_ticks at) {
    return w->ms_per_tick * (double)at;
}

static double at_ms(const struct written *w, size_t k) {
    return since_ms(w, w->plan.due[w->plan.mains[k]].at);
}

static size_t strokes_between(const struct written *w, double from_ms, double to_ms) {
    size_t n = 0;
    for (size_t k = 0; k < w->plan.main_count; k++) {
        n += at_ms(w, k) > from_ms - 1.0 && at_ms(w, k) < to_ms - 1.0;
    }
    return n;
}

/* Pairs of strokes that fall together before UNTIL_MS when OTHER begins at FROM_MS. */
static size_t together(const struct written *w, const struct written *other, double from_ms,
                       double until_ms) {
    size_t n = 0;
    size_t k = 0;
    for (size_t i = 0; i < other->plan.main_count; i++) {
        const double here_ms = from_ms + at_ms(other, i);
        if (here_ms >= until_ms - 1.0) {
            break;
        }
        while (k < w->plan.main_count && at_ms(w, k) < here_ms - near_ms) {
            k++;
        }
        if (k < w->plan.main_count && at_ms(w, k) <= here_ms + near_ms) {
            n++;
            k++;
        }
    }
    return n;
}

double alike(const struct written *w, const struct written *other) {
    const double length_ms = since_ms(other, other->plan.length);
    double best = 0.0;
    for (size_t bar = 0; bar < w->plan.bar_count; bar++) {
        const double from_ms = since_ms(w, w->plan.bars[bar].at);
        const double until_ms = fmin(since_ms(w, w->plan.length), from_ms + length_ms);
        if (bar > 0 && until_ms - from_ms < 0.5 * length_ms) {
            break;
        }
        const size_t due = strokes_between(w, from_ms, until_ms);
        const size_t played = strokes_between(other, 0.0, bar > 0 ? length_ms : until_ms - from_ms);
        if (due + played > 0) {
            best = fmax(best, 2.0 * (double)together(w, other, from_ms, until_ms) /
                                  (double)(due + played));
        }
    }
    return best;
}
