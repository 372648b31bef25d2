/* What of the constant offset is the player's own. */
#ifndef EH_REPORT_OFFSET_H
#define EH_REPORT_OFFSET_H

#include <math.h>

#include "evenhand/judgement.h"

/* offset_ms less the pad's delay from a click to the hit of a stroke that was on it; NAN where
 * either is not known. */
static inline double report_own_offset_ms(const struct eh_judgement *judgement) {
    const int64_t delay_ns = judgement->pad->delay_ns;
    return delay_ns == 0 ? (double)NAN
                         : judgement->offset_ms - (double)delay_ns / (double)EH_NS_PER_MS;
}

#endif
