/* Climbs by the demo player, judged by the judge: plan, hits, judgement, ladder. */
#ifndef TESTS_LADDER_PLAYED_H
#define TESTS_LADDER_PLAYED_H

#include <stdint.h>

#include "evenhand/exercise.h"
#include "evenhand/ladder.h"
#include "evenhand/style.h"

struct played {
    const struct eh_exercise *exercise;
    const struct eh_exercise *motion; /* NULL: no hand motion */
    const struct eh_style *style;
    const char *fault; /* as eh_demo_faults_read has it: "late-left@92" */
    int passes;        /* how often the exercise is played in a pass of the ladder */
    uint64_t seed;
};

/* Climbs until the ladder is done. How many passes that took; -1: something failed. */
int played_climb(const struct played *played, struct eh_ladder *ladder);

/* A learner with a fault, where he is to be found. */
struct played_case {
    const char *name, *bars, *fault; /* FAULT without its tempo */
    uint8_t aspect, side, direction; /* as it must be named */
    int passes;
};

enum { PLAYED_CASES = 6 };
extern const struct played_case played_cases[PLAYED_CASES];

struct played_counts {
    int near, named, covered, passes, settled;
};

/* RUNS climbs of CASE from 70 to 120 by STEP, each with another tempo above which it fails. */
void played_run(struct played_counts *out, const struct played_case *c, double step, int runs);

#endif
