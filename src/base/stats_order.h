/* Order statistics that only this room's own files need. Private to the room. */
#ifndef EVENHAND_BASE_STATS_ORDER_H
#define EVENHAND_BASE_STATS_ORDER_H

#include <stddef.h>

/* As eh_select, N at least 1. OUT_BEFORE: the one before it in order; NAN when K is 0. */
double eh_select_two(double *v, size_t n, size_t k, double *out_before);

#endif
