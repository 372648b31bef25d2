/* Faults of known kind, size and place, and what a good judge would say of them. */
#ifndef MEASURE_FAULTS_H
#define MEASURE_FAULTS_H

#include "evenhand/judgement.h"
#include "perform.h"
#include "player.h"
#include "scores.h"

enum { SIDE_LEFT = 1, SIDE_RIGHT = 2, SIDE_BOTH = 4 };

struct fault {
    const char *name;
    enum eh_aspect aspect;
    uint8_t sides;     /* findings that may name it: SIDE_... */
    uint8_t verdict;   /* enum eh_verdict */
    uint8_t direction; /* enum eh_direction */
    enum pattern pattern;
    /* Gives PLAYER the fault at SIZE times the style's tolerance; 1 stands at its edge. False when
     * no hand could play that at this tempo. SIZE > 0. */
    bool (*put)(struct player *player, const struct eh_style *style, const struct written *w,
                double size);
};

const struct fault *fault_list(size_t *out_count);

/* The largest size that a hand can play, where that is below 2; else 0. */
double fault_largest(const struct fault *fault);

/* What is true of PLAYER in the terms of a finding of ASPECT for SIDE; NAN where the finding's
 * estimate has no counterpart among the player's figures. */
double fault_truth(const struct player *player, const struct written *w, enum eh_aspect aspect,
                   enum eh_side side);

#endif
