/* Inside the practice: the row of clicks. */
#ifndef EH_PRACTICE_BEATS_H
#define EH_PRACTICE_BEATS_H

#include "evenhand/practice.h"

/* A whole bar by its metre. */
eh_ticks eh_metre_ticks(int beats, int unit);

/* Fills beats and beat_count of PRACTICE, whose plan, click and count_in are made. Errors:
 * EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_beats_lay(struct eh_practice *practice, int subdivision);

#endif
