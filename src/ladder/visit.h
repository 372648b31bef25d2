/* What the passes at one tempo showed. */
#ifndef EVENHAND_LADDER_VISIT_H
#define EVENHAND_LADDER_VISIT_H

#include "evenhand/ladder.h"

struct eh_ladder_shown {
    uint32_t passes;
    double weight; /* how far beyond its limit, summed */
    uint8_t verdict, direction;
    struct eh_pool pool; /* of the passes that went the same way as the latest */
};

/* Forgets the row, or the whole visit. */
void row_begin(struct eh_ladder *ladder);
void visit_begin(struct eh_ladder *ladder);

/* What PASS says by itself. Counts it in; fills the visit's faults or the row's pools. OUT_WORST:
 * its own fault that lies furthest beyond, not known where there is none. */
enum eh_ladder_answer visit_take(struct eh_ladder *ladder, const struct eh_ladder_pass *pass,
                                 struct eh_ladder_fault *out_worst);

/* What the row's passes say together, from good to bad. */
enum row_verdict {
    ROW_FINE,
    ROW_INSIDE,    /* within the limits, but not surely */
    ROW_STRADDLES, /* outside, but not surely */
    ROW_BEYOND     /* surely outside */
};

/* OUT_FAULT: the key that decides, where it is not fine. */
enum row_verdict row_weigh(const struct eh_ladder *ladder, struct eh_ladder_fault *out_fault);

/* The fault that most of the visit's passes showed (of equals, the one furthest beyond). */
struct eh_ladder_fault visit_worst(const struct eh_ladder *ladder);

#endif
