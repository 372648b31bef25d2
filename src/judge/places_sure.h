/* How sure a fault is, and what is left of its interval where many are looked at. */
#ifndef EVENHAND_JUDGE_PLACES_SURE_H
#define EVENHAND_JUDGE_PLACES_SURE_H

#include "evenhand/judgement.h"

/* How far the estimate lies beyond its limit, in standard errors: those that a normal 90 % interval
 * of this width has. What the pad's map may be wrong by is the same wherever one looks: it has to
 * be got over first, and is no part of the error. An exact count: the normal quantile of the chance
 * that so many fail. 0: no fault. */
double places_sure(const struct eh_judgement *judgement, const struct eh_finding *finding);

/* Makes FINDING's interval as wide as it has to be for STRETCHES to hold the truth together. */
void places_widen(const struct eh_judgement *judgement, uint32_t stretches,
                  struct eh_finding *finding);

/* How sure one of so many stretches has to be. */
double places_least_sure(uint32_t stretches);

#endif
