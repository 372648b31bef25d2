/* The rule by which a number with its interval is held against limits (docs/measures.md, "The
 * rule"), for whoever puts several runs' numbers together. Pure; any thread. */
#ifndef EVENHAND_RULE_H
#define EVENHAND_RULE_H

#include "evenhand/stats.h"

enum eh_standing {
    EH_STANDS_INSIDE,   /* fine */
    EH_STANDS_BELOW,    /* the whole interval lies below the lower limit */
    EH_STANDS_ABOVE,    /* or above the upper one */
    EH_STANDS_FEW,      /* unclear: fewer than LEAST_N, or no number at all */
    EH_STANDS_WIDE,     /* unclear: inside, but the interval reaches past both limits, or past twice
                          the only one */
    EH_STANDS_STRADDLES /* unclear: outside, but the interval reaches in */
};

/* LOW or HIGH may be NAN for an open end. */
enum eh_standing eh_rule_stands(const struct eh_estimate *e, double low, double high,
                                double least_n);

#endif
