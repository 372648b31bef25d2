/* What the player asked `evenhand contrast` for. */
#ifndef EVENHAND_CLI_CONTRAST_OPTIONS_H
#define EVENHAND_CLI_CONTRAST_OPTIONS_H

#include "play_options.h"

enum { CONTRAST_ROUNDS_MAX = 50, CONTRAST_BARS = 4 };

struct contrast_options {
    struct play_options play; /* its style is none: there are two */
    const char *styles;       /* NULL: the usual pair */
    int64_t rounds;           /* a pass in each style */
};

/* Reads the command line. A complaint has been printed when the answer is OPTIONS_WRONG. */
enum options_answer contrast_options_parse(struct contrast_options *out, int argc, char **argv);

#endif
