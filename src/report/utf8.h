/* Text that people wrote, taken apart so that it can be shown or escaped safely. */
#ifndef EVENHAND_REPORT_UTF8_H
#define EVENHAND_REPORT_UTF8_H

#include <stddef.h>
#include <stdint.h>

enum { REPORT_REPLACEMENT = 0xFFFD };

/* Reads one character of a NUL-terminated string into *OUT and returns how many bytes it takes (0
 * at the end). What is not UTF-8 (RFC 3629: overlong forms, surrogates, beyond 10FFFF, cut off) is
 * REPORT_REPLACEMENT, one byte at a time. */
size_t report_utf8_next(const char *string, uint32_t *out);

/* Columns of a terminal that a character takes at most: 2 from the first of the wide scripts on
 * (U+1100), else 1. Too many for some, never too few. */
int report_utf8_columns(uint32_t character);

/* Whether a terminal or a bidirectional display would be steered by the character. */
int report_utf8_steers(uint32_t character);

#endif
