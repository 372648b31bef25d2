/* A learner on the ladder, as numbers: the findings that a judge would make of his passes. His
 * fault shows above a tempo of his own, at once or bit by bit; all else is fine and scatters from
 * pass to pass. No hits are played: this is about the ladder, and quick.
 *
 * Sizes: 16 doubles and 8 accents a hand a pass, limits of the style rudimental, scatter as in
 * docs/measures.md ("How good it is"), a fault of twice the tolerance. Passes differ from each
 * other by more than their intervals say. */
#ifndef TESTS_LADDER_LEARNER_H
#define TESTS_LADDER_LEARNER_H

#include <stdbool.h>
#include <stddef.h>

#include "evenhand/ladder.h"
#include "random.h"

/* What the learner cannot hold above his tempo. */
struct learner_fault {
    const char *name;
    uint8_t aspect, side, direction; /* as the ladder must name it */
};

const struct learner_fault *learner_faults(size_t *out_count);

struct learner {
    size_t fault;      /* index into these */
    double bpm;        /* the fault shows above it */
    double motion_bpm; /* the same of the hand motion; 0: never */
    bool gradual;      /* it grows from nothing, and passes its limit at BPM */
    double map_error;  /* the pad's dB are wrong by this factor's logarithm */
    struct eh_random random;
};

enum { LEARNER_FINDINGS = 16 };

/* Plays a pass; OUT has room for LEARNER_FINDINGS. Gives their number. */
size_t learner_play(struct learner *learner, double bpm, uint8_t stage, struct eh_finding *out);

/* Climbs LADDER until it is done; how many passes that took. */
int learner_climb(struct learner *learner, struct eh_ladder *ladder, int32_t sitting);

/* For a gradual learner: at which share of his BPM three decided passes of four are clean, by
 * playing PASSES at each of many tempi. */
double learner_held_share(size_t fault, int passes);

#endif
