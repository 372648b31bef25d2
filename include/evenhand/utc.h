/* Dates and times of the calendar, in UTC, without the C library's clock or locale. */
#ifndef EVENHAND_UTC_H
#define EVENHAND_UTC_H

#include <stdbool.h>
#include <stdint.h>

#include "evenhand/text.h"

/* Days since 1970-01-01 to the Gregorian date (month and day from 1). */
void eh_civil_date(int64_t days, int64_t *out_year, int *out_month, int *out_day);

/* Appends SECONDS since 1970-01-01 00:00 UTC as ISO 8601 has it: 2026-11-26T03:10:00Z. Times
 * outside the years 0 to 9999 are given as the nearest in them. */
void eh_utc_print(int64_t seconds, struct eh_text *out);

/* The same, read: the whole of TEXT, a second that exists in the years 1970 to 9999. */
bool eh_utc_read(const char *text, int64_t *out_seconds);

#endif
