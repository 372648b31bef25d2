/* What the player asked `evenhand pulse` for. */
#ifndef EVENHAND_CLI_PULSE_OPTIONS_H
#define EVENHAND_CLI_PULSE_OPTIONS_H

#include "play_options.h"

struct pulse_options {
    struct play_options play;
    const char *pattern; /* as it was asked for; "every-other" where it was not */
    struct eh_silent_ask silent;
};

/* Reads the command line. A complaint has been printed when the answer is OPTIONS_WRONG. */
enum options_answer pulse_options_parse(struct pulse_options *out, int argc, char **argv);

#endif
