/* How far the judge's matching agrees with what was really played: precision, recall and F of the
 * pairs (written stroke, hit). */
#ifndef MEASURE_AGREE_H
#define MEASURE_AGREE_H

#include "evenhand/judgement.h"
#include "kit.h"

/* How strictly a pair is held to be right. */
enum strictness {
    STRICT, /* the hit was meant for this very stroke */
    SAME,   /* or for the same place of a bar that is written alike in every mark */
    HEARD,  /* or in every mark but the hands, which one pad cannot hear */
    NEAR,   /* or it is another note of the very press, or lies within NEAR_MS of the blow for that
               stroke, whether the pad reported this or not, and nearer to it than to any other */
    STRICTNESS_COUNT
};

/* As near as an onset detector must come to have found an onset: Boeck, Krebs & Schedl 2012,
 * "Evaluating the online capabilities of onset detection methods", ISMIR (from memory); the usual
 * 50 ms of that trade are more than lies between fast strokes. */
#define NEAR_MS 25.0

struct agreement {
    uint64_t found;                   /* pairs that the judge made */
    uint64_t played;                  /* written strokes that were played and reported */
    uint64_t hidden;                  /* NEAR: found near a blow that the pad did not report */
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

/* A stroke that was played twice (a repeat) counts once, whichever of its hits was found. BLOWS are
 * what REPORTED was made of. */
struct agreement agree(const struct written *w, const struct blows *blows,
                       const struct reported *reported, const struct eh_match *matches);

#endif
