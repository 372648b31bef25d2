/* What anyone could know. A matcher that is told when each stroke would have come but for that
 * stroke's own error, and how wide that error is, can hardly be beaten by one that has to find it
 * out: where it errs, times alone do not tell. */
#ifndef MEASURE_KNOWING_H
#define MEASURE_KNOWING_H

#include "agree.h"

/* The matching of greatest likelihood that keeps the order, for a straight course without presses.
 * MATCHES has the plan's due_count entries. MISSED: share left out; ADDED: hits without a stroke, a
 * stroke. */
void knowing_match(const struct written *w, const struct blows *blows,
                   const struct reported *reported, double missed, double added,
                   struct eh_match *matches);

/* Whether knowing_match can be asked about W. */
bool knowing_can(const struct written *w);

#endif
