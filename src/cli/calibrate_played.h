/* What was played in a calibration, from wherever it came. */
#ifndef EVENHAND_CLI_CALIBRATE_PLAYED_H
#define EVENHAND_CLI_CALIBRATE_PLAYED_H

#include "calibrate_options.h"
#include "evenhand/calibrate.h"
#include "evenhand/hit.h"
#include "evenhand/pad.h"

struct calibrate_played {
    struct eh_calibrate_course course;
    struct eh_take take; /* owned; the pad's hits, 0 = the first click; its click: beat N
                            of the course at tick N * EH_TICKS_PER_QUARTER */
    struct eh_pad pad;   /* as it was known before */
    char port[256];      /* "" where none is known */
    bool is_live;        /* on a pad, now */
};

/* Finds what is known of the pad so far. Where what is found is to be kept, the history is made
 * ready for writing, so that nobody plays for nothing. Returns CLI_GOOD, or CLI_FAILED after a
 * complaint. */
int calibrate_find_pad(struct calibrate_played *played, const struct calibrate_options *options);

/* Plays the course, live or by the demo player. Returns CLI_GOOD, or CLI_FAILED after a
 * complaint. */
int calibrate_play(struct calibrate_played *played, const struct calibrate_options *options);

/* Reads a recording of it. */
int calibrate_read(struct calibrate_played *played, const struct calibrate_options *options);

/* Writes the attempts that count into a new MIDI file, in the order of the course and each once:
 * what calibrate_read reads. */
int calibrate_save_taps(const struct calibrate_played *played, const char *path);

#endif
