/* Decimal numbers, whatever the locale. */
#ifndef EVENHAND_SETTINGS_DECIMAL_H
#define EVENHAND_SETTINGS_DECIMAL_H

#include <stdbool.h>

#include "evenhand/text.h"

/* "-12", "0.05", ".5"; at most 15 digits; the whole of TEXT. Rounded as exactly as the C library
 * would. */
bool decimal_read(const char *text, double *out);

/* With at most six decimals and no trailing zeros. */
void decimal_write(struct eh_text *out, double value);

#endif
