/* What every plan is finished with, however its strokes were laid. */
#ifndef EVENHAND_JUDGE_PLAN_LAY_H
#define EVENHAND_JUDGE_PLAN_LAY_H

#include "evenhand/plan.h"

/* Fills in each due's spacing and main, and moves grace notes ahead of their main strokes, from the
 * main strokes' times. */
void plan_space(struct eh_plan *plan);

#endif
