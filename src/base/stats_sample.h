/* Part of a sample that is too large to be looked at whole. Private to the room. */
#ifndef EVENHAND_BASE_STATS_SAMPLE_H
#define EVENHAND_BASE_STATS_SAMPLE_H

#include <stddef.h>

/* Of each of EH_STATS_LARGEST equal parts of V one value, picked by a fixed hash so that no pattern
 * in V can fall into step with it, is moved to the front. Returns how many stand there: N itself
 * where that is no more. */
size_t eh_sample(double *v, size_t n);

#endif
