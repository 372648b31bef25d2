/* Two styles that are asked for together: --styles A,B. */
#ifndef EVENHAND_CLI_STYLE_PAIR_H
#define EVENHAND_CLI_STYLE_PAIR_H

#include "evenhand/style.h"
#include "options.h"

#define STYLE_PAIR_USUAL "concert,rudimental"

#define OPTION_ROW_STYLES(TARGET)                                                                  \
    OPTION_ROW_TEXT("styles", "A,B", "two styles or style files; else " STYLE_PAIR_USUAL, TARGET)

/* Finds both of WANTED (NULL: the usual pair), in their order. Returns CLI_GOOD or, after a
 * complaint, CLI_USAGE (not two names, the same one twice) or CLI_FAILED (there is none of a name,
 * a file is wrong, two files bear one name). */
int style_pair_find(struct eh_style out[2], const char *wanted);

#endif
