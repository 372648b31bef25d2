/* Made-up players without a click, whose beat is known.
 *
 * Two levels (Wing & Kristofferson 1973, Perception & Psychophysics 14, 5-12; from memory): a
 * timekeeper whose beats each come out a little long or short, so that the beat goes astray like a
 * random walk, and a delay of each stroke that is not carried on. With the click half of the
 * error is put right with each beat. */
#ifndef TESTS_WANDER_H
#define TESTS_WANDER_H

#include <stdint.h>

struct wander_player {
    double percent;       /* own tempo against the click's, faster positive */
    double timekeeper_ms; /* SD of a beat */
    double stroke_ms;     /* SD of a stroke's delay */
};

/* Two bars with the click, BARS without, two with, STROKES to the beat, 100 beats a minute. */
struct wander_case {
    struct wander_player player;
    int bars, strokes;
};

struct wander_rates {
    int runs;
    int covered;     /* the interval holds what the beat did */
    int said[4];     /* by enum eh_pulse_verdict */
    int wrong;       /* a verdict that what the beat did contradicts */
    double width_ms; /* of the intervals, on average */
};

struct wander_rates wander_try(const struct wander_case *what, int runs, uint64_t seed);

#endif
