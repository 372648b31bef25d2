/* The judge's own rule, for other rooms. */
#include "evenhand/rule.h"

#include "verdict.h"

enum eh_place eh_rule_place(const struct eh_estimate *e, double low, double high, double least_n) {
    const struct verdict_call call = verdict_place(e, low, high, least_n);
    switch (call.place) {
    case PLACE_INSIDE:
        return EH_PLACE_INSIDE;
    case PLACE_BELOW:
        return EH_PLACE_BELOW;
    case PLACE_ABOVE:
        return EH_PLACE_ABOVE;
    case PLACE_UNKNOWN:
        break;
    }
    return call.reason == REASON_FEW    ? EH_PLACE_FEW
           : call.reason == REASON_WIDE ? EH_PLACE_WIDE
                                        : EH_PLACE_STRADDLES;
}
