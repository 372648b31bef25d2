/* The taps of a count-off: whether they are one, and what a tap is worth. */
#include <math.h>

#include "free.h"

/* A tap's distance may differ from the others' by this factor at most. */
static const double uneven_taps = 1.25;

bool free_lead_read(struct free_lead *out, const struct eh_hit *hits, size_t count) {
    double least = INFINITY;
    double most = 0.0;
    for (size_t i = 1; i < count; i++) {
        const double gap = (double)(hits[i].at_ns - hits[i - 1].at_ns) / 1e6;
        least = fmin(least, gap);
        most = fmax(most, gap);
    }
    const double whole = (double)(hits[count - 1].at_ns - hits[0].at_ns) / 1e6;
    *out = (struct free_lead){.known = least > 0.0 && most <= uneven_taps * least,
                              .first_hit = count,
                              .last_ms = whole,
                              .quarter_ms = whole / (double)(count - 1),
                              .least_ms = least,
                              .most_ms = most};
    return out->known;
}

/* The metre's beat; in 6/8, 9/8 and 12/8 also three eighths, in the others also a half or an
 * eighth. */
void free_lead_worths(const struct eh_plan *plan, double out_worths[FREE_WORTHS]) {
    const struct eh_plan_bar *bar = &plan->bars[0];
    const double beat = 4.0 / bar->unit;
    out_worths[0] = beat;
    out_worths[1] = bar->unit == 8 && bar->beats % 3 == 0 ? 3.0 * beat : 2.0 * beat;
    out_worths[2] = beat / 2.0;
}

bool free_lead_worth(struct free_lead *out, const struct free_lead *lead, double worth) {
    *out = *lead;
    out->beat = worth;
    out->quarter_ms = lead->quarter_ms / worth;
    const double bpm = 60000.0 / out->quarter_ms;
    return bpm >= EH_FREE_TEMPO_MIN && bpm <= EH_FREE_TEMPO_MAX;
}
