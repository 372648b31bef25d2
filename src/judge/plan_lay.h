/* What every plan is finished with, however its strokes were laid. */
#ifndef EVENHAND_JUDGE_PLAN_LAY_H
#define EVENHAND_JUDGE_PLAN_LAY_H

#include "evenhand/plan.h"

/* Lists the main strokes, fills in each due's spacing and main, and moves grace notes ahead of
 * their main strokes, from the main strokes' times. Errors: EH_NO_MEMORY. */
enum eh_status plan_space(struct eh_plan *plan);

#endif
