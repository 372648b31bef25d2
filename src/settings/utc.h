/* Seconds since 1970-01-01 00:00 UTC as ISO 8601 writes them: 2026-11-26T03:10:00Z. */
#ifndef EVENHAND_SETTINGS_UTC_H
#define EVENHAND_SETTINGS_UTC_H

#include <stdbool.h>
#include <stdint.h>

/* The whole of TEXT, of a day that exists in the years 1970 to 9999. */
bool utc_read(const char *text, int64_t *out_seconds);

#endif
