/* The player's own clock. */
#ifndef EVENHAND_CLI_LOCAL_TIME_H
#define EVENHAND_CLI_LOCAL_TIME_H

#include <stdint.h>

/* Local time less UTC at UTC_S (seconds since 1970), where the program runs. */
int32_t local_offset_s(int64_t utc_s);

/* Days since 1970-01-01 of a moment where local time is OFFSET_S ahead of UTC. */
int64_t local_day(int64_t utc_s, int32_t offset_s);

#endif
