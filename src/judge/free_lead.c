/* The taps of a count-off: whether they are one, and what a tap is worth. */
#include <math.h>

#include "free.h"

/* A tap's distance may differ from the others' by this factor at most. */
static const double uneven_taps = 1.25;

bool free_is_echo(const struct eh_pad *pad, const struct eh_hit *hits, size_t hit) {
    return hit > 0 && eh_pad_may_retrigger(pad, &hits[hit - 1], &hits[hit]);
}

bool free_lead_read(struct free_lead *out, const struct eh_hit *hits, size_t count, size_t taps,
                    const struct eh_pad *pad) {
    *out = (struct free_lead){.least_ms = INFINITY};
    size_t heard = 0;
    for (size_t i = 0; i < count && heard < taps; i++) {
        if (free_is_echo(pad, hits, i)) {
            continue;
        }
        const double ms = (double)(hits[i].at_ns - hits[0].at_ns) / 1e6;
        if (heard > 0) {
            out->least_ms = fmin(out->least_ms, ms - out->last_ms);
            out->most_ms = fmax(out->most_ms, ms - out->last_ms);
        }
        out->last_ms = ms;
        out->first_hit = i + 1;
        heard++;
    }
    out->quarter_ms = out->last_ms / (double)(taps - 1);
    out->known =
        heard == taps && out->least_ms > 0.0 && out->most_ms <= uneven_taps * out->least_ms;
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
