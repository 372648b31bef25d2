/* Etudes played by the demo player with faults in certain bars, judged, and their places found. */
#ifndef TESTS_AUDITION_PLACED_H
#define TESTS_AUDITION_PLACED_H

#include <stdbool.h>
#include <stdint.h>

#include "evenhand/judgement.h"
#include "evenhand/places.h"
#include "evenhand/style.h"
#include "evenhand/tempo_course.h"

/* A performance and what was found in it. */
struct placed {
    struct eh_exercise *exercise;
    struct eh_style style;
    struct eh_pad pad;
    struct eh_take take;
    struct eh_judgement *judgement;
    struct eh_places places;
    struct eh_tempo_course course;
};

struct placed_ask {
    const char *etude; /* a file of exercises/etudes, without its end */
    const char *faults;
    double bpm;
    uint64_t seed;
    bool click; /* it was played to one */
};

/* False: it could not be judged. Ends the program when something cannot be had. */
bool placed_play(struct placed *out, const struct placed_ask *ask);

void placed_deinit(struct placed *placed);

#endif
