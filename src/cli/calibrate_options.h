/* What the player asked `evenhand calibrate` for. */
#ifndef EVENHAND_CLI_CALIBRATE_OPTIONS_H
#define EVENHAND_CLI_CALIBRATE_OPTIONS_H

#include <stdbool.h>
#include <stdint.h>

#include "evenhand/demo_pad.h"
#include "options.h"

struct calibrate_options {
    const char *port, *player; /* NULL: not given */
    const char *pad;           /* a pad file, NULL: what is kept for the port */
    const char *demo;          /* NULL: a pad, or a file; else a described pad's name */
    const char *take;          /* NULL: live; else a recording */
    const char *save_pad, *save_taps;
    const char *audio;
    const char *db;
    double tempo; /* NAN: the usual one */
    int64_t taps, seed, start, volume;
    bool no_sound, fast;
    const struct eh_demo_pad *demo_pad; /* with --demo */
};

/* Reads the command line of `calibrate`. A complaint has been printed when the answer is
 * OPTIONS_WRONG. */
enum options_answer calibrate_options_parse(struct calibrate_options *out, int argc, char **argv);

#endif
