/* The judge's own rule, for other rooms. */
#include "evenhand/rule.h"

#include "verdict.h"

enum eh_standing eh_rule_stands(const struct eh_estimate *e, double low, double high,
                                double least_n) {
    const struct verdict_call call = verdict_place(e, low, high, least_n);
    switch (call.place) {
    case PLACE_INSIDE:
        return EH_STANDS_INSIDE;
    case PLACE_BELOW:
        return EH_STANDS_BELOW;
    case PLACE_ABOVE:
        return EH_STANDS_ABOVE;
    case PLACE_UNKNOWN:
        break;
    }
    return call.reason == REASON_FEW    ? EH_STANDS_FEW
           : call.reason == REASON_WIDE ? EH_STANDS_WIDE
                                        : EH_STANDS_STRADDLES;
}
