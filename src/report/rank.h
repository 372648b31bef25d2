/* Which findings matter most. */
#ifndef EVENHAND_REPORT_RANK_H
#define EVENHAND_REPORT_RANK_H

#include "evenhand/judgement.h"

/* How much a fault weighs: how far the estimate lies beyond its limit, as a multiple of the
 * limit's width (of the limit itself where one end is open), at least 0.1 and at most 4, times the
 * square root of the strokes it rests on. So a fault that touches four times as many strokes
 * weighs twice as much, and no fault hides all others by a narrow limit. 0 for what is no fault.
 * Our own rule; it only orders. */
double report_weight(const struct eh_finding *finding);

/* Fills ORDER (room for EH_FINDINGS_MAX) with the numbers of the findings of this kind: faults by
 * falling weight, the others as they stand. Returns how many. */
size_t report_order(const struct eh_judgement *judgement, enum eh_fault fault, size_t *order);

#endif
