/* The rule by which a number with its interval is held against limits (docs/measures.md, "The
 * rule"), for whoever puts several runs' numbers together. Pure; any thread. */
#ifndef EVENHAND_RULE_H
#define EVENHAND_RULE_H

#include "evenhand/stats.h"

enum eh_place {
    EH_PLACE_INSIDE,   /* fine */
    EH_PLACE_BELOW,    /* the whole interval lies below the lower limit */
    EH_PLACE_ABOVE,    /* or above the upper one */
    EH_PLACE_FEW,      /* unclear: fewer than LEAST_N, or no number at all */
    EH_PLACE_WIDE,     /* unclear: inside, but the interval reaches past both limits, or past twice
                          the only one */
    EH_PLACE_STRADDLES /* unclear: outside, but the interval reaches in */
};

/* LOW or HIGH may be NAN for an open end. */
enum eh_place eh_rule_place(const struct eh_estimate *e, double low, double high, double least_n);

#endif
