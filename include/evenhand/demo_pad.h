/* The demo player at a calibration, on a pad that is described: so that the calibration can be seen
 * without a pad, and what it finds be held against what is known.
 *
 * Pure and repeatable: the same course, pad and seed give the same hits on any machine of IEEE
 * arithmetic. It shares no code with the fit. */
#ifndef EVENHAND_DEMO_PAD_H
#define EVENHAND_DEMO_PAD_H

#include <stddef.h>
#include <stdint.h>

#include "evenhand/calibrate.h"
#include "evenhand/hit.h"
#include "evenhand/status.h"

/* A pad. Levels are dB against a tap at mf as it is written. */
struct eh_demo_pad {
    const char *name;  /* "hot" */
    const char *about; /* one line */
    double top_db;     /* the level that velocity 127 stands for */
    double law;        /* dB of level for a dB of 20 log10(velocity) */
    double floor;      /* velocities below this are not reported */
    double top;        /* velocities above it are reported as this */
    double step;       /* velocities come in multiples of this */
    double echo_percent, echo_ms, echo_softer_db;
    /* A second note nearer than dead_ms, or until 60 ms softer against the first than mask_db less
     * 0.21 dB a ms, is not reported. */
    double dead_ms, mask_db;
    double delay_ms; /* from a click to a stroke that was on it */
};

/* All of them, in the order of a list; constant. */
const struct eh_demo_pad *eh_demo_pads(size_t *out_count);

/* NULL when there is none of this name; "" is the first. */
const struct eh_demo_pad *eh_demo_pad_find(const char *name);

struct eh_demo_tapper {
    const struct eh_demo_pad *pad;
    uint64_t seed;
    double wander_ms;        /* of his timing */
    double last_ms, last_db; /* the last note that the pad reported */
};

void eh_demo_tapper_init(struct eh_demo_tapper *out_tapper, const struct eh_demo_pad *pad,
                         uint64_t seed);

/* Plays ATTEMPT (from 0) at STEP of COURSE, whose taps begin at FIRST_BEAT, and adds the hits to
 * TAKE, on the course's clock. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_demo_tapper_play(struct eh_demo_tapper *tapper,
                                               const struct eh_calibrate_course *course,
                                               int32_t step, int32_t attempt, int32_t first_beat,
                                               struct eh_take *take);

#endif
