/* The bars of a run as a take knows them. */
#ifndef EVENHAND_CLI_PLAY_METRES_H
#define EVENHAND_CLI_PLAY_METRES_H

#include "evenhand/hit.h"
#include "evenhand/practice.h"

/* Makes an empty take whose click and bar lines are those of PRACTICE: bar 1 is the first bar of
 * the exercise, the count-in lies before it. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status play_metres_lay(struct eh_take *out_take,
                                           const struct eh_practice *practice, double bpm);

#endif
