/* When a hit of a control note (pad.h) means it.
 *
 * A hard stroke shakes the pads and rims beside it, and theirs may report it: crosstalk, within
 * some milliseconds. A stick may also touch a rim by mistake, and a practice that ends in the
 * middle of a line is worse than a rim that has to be hit twice. So a control counts
 *   - never within EH_CONTROL_QUIET_NS after a stroke of the pad's;
 *   - while strokes are due only when it is hit twice, the second hit EH_CONTROL_TWICE_LEAST_NS to
 *     EH_CONTROL_TWICE_MOST_NS after the first, with no stroke between: nobody does that who is
 *     playing;
 *   - in a rest at the first hit.
 * The times are choices of ours; that crosstalk comes within some milliseconds and that a double
 * hit by hand is slower than a pad's echo: common practice, no source.
 *
 * Pure; one thread at a time. */
#ifndef EVENHAND_CONTROL_H
#define EVENHAND_CONTROL_H

#include <stdbool.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/pad.h"

#define EH_CONTROL_QUIET_NS (50 * EH_NS_PER_MS)
#define EH_CONTROL_TWICE_LEAST_NS (50 * EH_NS_PER_MS)
#define EH_CONTROL_TWICE_MOST_NS (1000 * EH_NS_PER_MS)

/* All-zero is a new one. */
struct eh_control_watch {
    bool any_stroke;
    int64_t stroke_ns;       /* of the pad's latest stroke */
    enum eh_control pending; /* hit once */
    int64_t pending_ns;
};

/* Tells of a hit, in order of time. RESTING: nothing is due. What is meant by it now, NONE mostly.
 */
enum eh_control eh_control_feed(struct eh_control_watch *watch, const struct eh_pad *pad,
                                const struct eh_hit *hit, bool resting);

#endif
