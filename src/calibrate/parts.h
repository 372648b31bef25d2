/* The parts of the fit: from hits to taps, and what each figure is made from. */
#ifndef EH_CALIBRATE_PARTS_H
#define EH_CALIBRATE_PARTS_H

#include "evenhand/calibrate.h"

/* Four times the taps of a step, for the step with the click, and as many again for a player who
 * plays more than he was asked to. */
enum { EH_TAPS_ROOM = 8 * EH_CALIBRATE_TAPS_MOST };

static const double eh_calibrate_confidence = 0.90;

/* z of the 90 % interval. */
static const double eh_calibrate_z = 1.6448536269514722;

/* Single strokes: a stroke is the loudest of the notes that came close together; what follows it
 * softer is its echo. */
struct eh_tap {
    double velocity;
    double offset_ms; /* from the nearest click */
    int32_t beat;
};

struct eh_echo {
    double gap_ms;
    double first, second; /* velocities */
};

struct eh_taps {
    struct eh_tap taps[EH_TAPS_ROOM];
    size_t count;
    struct eh_echo echoes[EH_TAPS_ROOM];
    size_t echo_count;
    uint32_t due; /* beats that were to be played */
};

/* Takes the taps of the attempt at STEP that counts; empty when there is none. */
void eh_taps_gather(const struct eh_calibrate_input *input, int32_t step, struct eh_taps *out);

/* On how many of the beats there is a tap. */
uint32_t eh_taps_heard(const struct eh_taps *taps);

/* Pairs of strokes: the first note by a beat, and the one after it as far as it was reported. */
struct eh_pairs {
    struct eh_echo seen[EH_TAPS_ROOM];
    size_t count;
    uint32_t due; /* beats on which there was a first stroke */
};

/* Adds the pairs of the attempt at STEP that counts. */
void eh_pairs_gather(const struct eh_calibrate_input *input, int32_t step, struct eh_pairs *pairs);

/* The median of velocities that come in steps of STEP, each standing for the step around it, with
 * the interval that order statistics give (binomial, exact). UNHEARD more values are known to lie
 * below all of V. Sorts V. */
struct eh_estimate eh_velocity_median(double *v, size_t n, size_t unheard, double step);

/* Where a population begins of which nothing below an edge is seen. V rises. The distance of the
 * edge from the lowest value, against the spread of the lowest few, is (1 + t)^-(k - 1) distributed
 * where the values lie evenly (Robson & Whitlock 1964, Biometrika 51, 33-39, for k = 2). The value
 * is the median-unbiased one. STEP is added to what single steps of the values hide. */
struct eh_estimate eh_edge(const double *v, size_t n, double step);

/* The level map, and what the marks became. */
void eh_fit_levels(const struct eh_calibrate_input *input, struct eh_calibration *out);

/* By the new map: echoes of single strokes; which second strokes are hidden; the softest stroke. */
void eh_fit_echoes(const struct eh_calibrate_input *input, struct eh_calibration *out);
void eh_fit_mask(const struct eh_calibrate_input *input, struct eh_calibration *out);
void eh_fit_floor(const struct eh_calibrate_input *input, struct eh_calibration *out);

/* The delay. */
void eh_fit_delay(const struct eh_calibrate_input *input, struct eh_calibration *out);

#endif
