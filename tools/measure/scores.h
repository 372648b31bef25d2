/* Exercises that the bench composes: rows of one pattern, as long as a measurement needs. */
#ifndef MEASURE_SCORES_H
#define MEASURE_SCORES_H

#include <stddef.h>

enum pattern {
    PATTERN_SINGLES,
    PATTERN_ROLL,    /* an open roll: every stroke of a 16th motion doubled */
    PATTERN_DIDDLES, /* doubles in 16ths */
    PATTERN_PARADIDDLES,
    PATTERN_ACCENTS,
    PATTERN_LOUD_ACCENTS, /* the same in ff: what the rim's gate lets through */
    PATTERN_CONCERT,      /* the same in concert style */
    PATTERN_FLAMS,
    PATTERN_DRAGS,
    PATTERN_BUZZ,
    PATTERN_WIDE_BUZZ, /* hands about as far apart as presses can close: 157 to 172 ms */
    PATTERN_DYNAMICS,
    PATTERN_MARKS, /* four marks in turn */
    PATTERN_HAIRPINS,
    PATTERN_COUNT
};

enum { SCORES_TEXT = 16384 };

const char *pattern_name(enum pattern pattern);

/* Writes an exercise in which each hand has at least STROKES of the pattern's own strokes (doubles,
 * accents, flams, presses ...; for dynamics at each mark), for a tempo of BPM. The number of bars,
 * the closing one not counted. */
int pattern_text(enum pattern pattern, int strokes, double bpm, char out[SCORES_TEXT]);

/* The same by a number of bars. */
void pattern_bars(enum pattern pattern, int bars, double bpm, char out[SCORES_TEXT]);

#endif
