/* The bars that a contrast is practised on. */
#ifndef EVENHAND_CLI_CONTRAST_BARS_H
#define EVENHAND_CLI_CONTRAST_BARS_H

#include "contrast_options.h"

/* Settles the bars in OPTIONS: those asked for, else the four in a row that have the most accents
 * (the first of equals), and checks that there is something to contrast: accents, unmarked strokes
 * around them, and in all rounds at least LEAST_N accents. Returns CLI_GOOD or, after a complaint,
 * CLI_FAILED. */
int contrast_bars_choose(struct contrast_options *options, const struct found_exercise *exercise,
                         double least_n);

#endif
