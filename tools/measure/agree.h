/* How far the judge's matching agrees with what was really played: precision, recall and F of the
 * pairs (written stroke, hit). Bounces of a press are no pairs; its first hit is. */
#ifndef MEASURE_AGREE_H
#define MEASURE_AGREE_H

#include "evenhand/judgement.h"
#include "kit.h"

/* How strictly a pair is held to be right. */
enum strictness {
    STRICT, /* the hit was meant for this very stroke */
    SAME,   /* or for the same place of a bar that is written alike in every mark */
    HEARD,  /* or in every mark but the hands, which one pad cannot hear */
    STRICTNESS_COUNT
};

struct agreement {
    uint64_t found;                   /* pairs that the judge made */
    uint64_t played;                  /* written strokes that were played and reported */
    uint64_t right[STRICTNESS_COUNT]; /* pairs that are right */
};

/* F = 2 right / (found + played); 1 where there was nothing to find and nothing was found. */
double agreement_f(const struct agreement *a, enum strictness how);
double agreement_precision(const struct agreement *a, enum strictness how);
double agreement_recall(const struct agreement *a, enum strictness how);

void agreement_add(struct agreement *sum, const struct agreement *a);

/* Whether the hit that was BLOW may be called stroke DUE. */
bool agree_means(const struct written *w, const struct blow *blow, uint32_t due,
                 enum strictness how);

/* A stroke that was played twice (a repeat) counts once, whichever of its hits was found. */
struct agreement agree(const struct written *w, const struct reported *reported,
                       const struct eh_match *matches);

#endif
