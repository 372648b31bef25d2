/* Presses whose first note is in doubt. Where two hands' bounces run into each other a pad hides
 * the onset of a press that falls into its dead time after a bounce, and what is heard first is the
 * press's own first bounce, 28 to 59 ms later; or the last bounce of the press before is taken for
 * the onset. Neither is the player's timing, and neither is a stroke's ordinary scatter. */
#include "measure.h"

#include <math.h>

/* Nine in ten presses: from the first note to the second, and what the second has lost (medians;
 * all of 1639 isolated presses of the Groove MIDI Dataset 1.0.0, Gillick et al. 2019). */
static const double first_bounce_low_ms = 28.0;
static const double first_bounce_high_ms = 59.0;
static const double first_step_db = -1.1;
/* A press begins about 4 dB over the bounce before it, by what that press has lost, and bounces
 * fall by about 1.5 dB (the same presses): what rises by more than the middle is rather an onset.
 */
static const double onset_rise_db = 1.25;

/* Beyond twice the scale stands one reading in twenty. */
static const double beyond = 2.0;

static double at_ms(const struct measures *m, size_t hit) {
    return (double)(m->in->hits[hit].at_ns - m->in->plan->start_ns) / 1e6;
}

static double level(const struct measures *m, size_t hit) {
    return eh_pad_level_db(m->in->pad, eh_hit_velocity(&m->in->hits[hit]));
}

/* Whether an onset before hit FIRST, whose first bounce it would be, could lie in the dead time of
 * an earlier hit. */
static bool hidden_before(const struct measures *m, size_t first) {
    const double dead_ms = (double)m->in->pad->mask_dead_ns / 1e6;
    const double onset_db = level(m, first) - first_step_db;
    for (size_t k = first; k-- > 0;) {
        const double gap = at_ms(m, first) - at_ms(m, k);
        if (gap > first_bounce_high_ms + dead_ms) {
            return false;
        }
        if (gap >= first_bounce_low_ms &&
            onset_db < measure_pad_hides(m, level(m, k), dead_ms / 2.0)) {
            return true;
        }
    }
    return false;
}

/* Whether the next hit is a bounce of the same press, as follower says, but rises like an onset. */
static bool rises_after(const struct measures *m, size_t first, size_t due) {
    const size_t next = first + 1;
    return next < m->in->hit_count && m->in->fates[next].kind == EH_FATE_BOUNCE &&
           m->in->fates[next].due == due &&
           at_ms(m, next) - at_ms(m, first) <= first_bounce_high_ms &&
           level(m, next) - level(m, first) > onset_rise_db;
}

bool measure_mark_doubtful(struct measures *m, const uint32_t *row, const double *rest, size_t n,
                           double scale) {
    bool any = false;
    for (size_t i = 0; i < n; i++) {
        struct measure_stroke *r = &m->row[row[i]];
        if (r->kind != EH_KIND_BUZZ || !(fabs(rest[i]) > beyond * scale)) {
            continue;
        }
        const size_t hit = (size_t)m->in->matches[row[i]].hit;
        r->doubtful = rest[i] > 0.0 ? hidden_before(m, hit) : rises_after(m, hit, row[i]);
        any = any || r->doubtful;
    }
    return any;
}
