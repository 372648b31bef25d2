/* The style that was asked for: a shipped or own one by name, or a file. */
#ifndef EVENHAND_CLI_STYLE_FIND_H
#define EVENHAND_CLI_STYLE_FIND_H

#include "evenhand/exercise.h"
#include "evenhand/style.h"

#define STYLE_SUFFIX ".ini"
#define STYLE_DEFAULT "rudimental"

/* Finds and reads the style WANTED; NULL stands for the one that EXERCISE names, or else
 * STYLE_DEFAULT. A file of the user's goes before a shipped one of the same name. Returns
 * CLI_GOOD, or CLI_FAILED after a complaint on standard error. */
int style_find(struct eh_style *out, const char *wanted, const struct eh_exercise *exercise);

/* Reads a style from a text; WHERE names it in complaints. */
int style_from_text(struct eh_style *out, const char *where, const char *text, size_t length);

#endif
