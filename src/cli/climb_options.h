/* What the player asked `evenhand climb` for. */
#ifndef EVENHAND_CLI_CLIMB_OPTIONS_H
#define EVENHAND_CLI_CLIMB_OPTIONS_H

#include "play_options.h"

struct climb_options {
    struct play_options play;
    double from, to; /* NAN: the exercise's start, its aim */
    double step, rest, minutes;
    const char *aspect_list; /* NULL: all */
    uint32_t aspects;        /* bits of it; 0: all */
    int64_t in_a_row, passes_most;
    bool hand_motion, anew;
};

/* Reads the command line. A complaint has been printed when the answer is OPTIONS_WRONG. */
enum options_answer climb_options_parse(struct climb_options *out, int argc, char **argv);

#endif
