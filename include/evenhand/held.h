/* The tempo that is held, estimated from passes at several tempi that were clean or were not.
 *
 * Held is the tempo at which three passes of four are clean. Slower, more of them are; faster,
 * fewer. How the chance changes with the tempo is a Weibull function of the tempo's logarithm, the
 * form of QUEST (Watson & Pelli 1983, Perception & Psychophysics 33, 113-120); the answer is the
 * Bayesian one on a grid of thresholds, with the slope and the two lapse rates summed over as in
 * the psi method (Kontsevich & Tyler 1999, Vision Research 39, 2729-2737, for the slope; Prins
 * 2013, Journal of Vision 13(7):3, for the lapses). docs/ladder.md has the formula and its checks.
 *
 * Pure; no allocation; any thread. */
#ifndef EVENHAND_HELD_H
#define EVENHAND_HELD_H

#include <stdbool.h>
#include <stddef.h>

/* The chance of a pass that is not clean, at a tempo that is X = log10(tempo / threshold):
 *   false_alarm + (1 - false_alarm - lapse) * (1 - exp(-k * 10^(slope * X)))
 * with k such that it is EH_HELD_UNCLEAN at X = 0. */
struct eh_held_curve {
    double slope;       /* > 0; the rise from one in ten to nine in ten takes 1.34/slope decades */
    double false_alarm; /* what is not clean however slow; below EH_HELD_UNCLEAN */
    double lapse;       /* what is clean however fast */
};

/* The share of passes that are not clean at the tempo held. A choice of ours. */
#define EH_HELD_UNCLEAN 0.25

double eh_held_chance_unclean(const struct eh_held_curve *curve, double bpm, double threshold_bpm);

/* How many passes at a tempo were clean, how many not. They need not be whole numbers: older
 * passes may count for less. */
struct eh_held_answer {
    double bpm;
    double clean, unclean;
};

enum { EH_HELD_GRID = 481, EH_HELD_CURVES_MAX = 32 };

/* Where the threshold is looked for, every logarithm as likely as another, and how the curve may
 * run, every one as likely as another. */
struct eh_held_prior {
    double low_bpm, high_bpm; /* 0 < low < high */
    struct eh_held_curve curves[EH_HELD_CURVES_MAX];
    size_t curve_count; /* 1 .. EH_HELD_CURVES_MAX */
};

/* The prior for a ladder from FROM to TO: from a quarter below to a quarter above, slopes of 15,
 * 30, 60 ... 1920 (from one pass in ten that is not clean to nine in ten within 23, 11, 5 ... 0.2 %
 * of the tempo), lapses of 1 and 8 %. A choice of ours: no published figure was found. */
void eh_held_usual_prior(struct eh_held_prior *out_prior, double from_bpm, double to_bpm);

struct eh_held {
    double bpm;       /* the posterior's median */
    double low, high; /* its 5 % and 95 % points */
    double passes;    /* how many answers it rests on */
    bool open_low;    /* over a quarter lies below the slowest answer: LOW is the prior's */
    bool open_high;   /* over a quarter lies above the fastest: HIGH is the prior's */
    double density[EH_HELD_GRID]; /* the posterior at the grid's points, evenly spaced in the
                                     logarithm from LOW_BPM to HIGH_BPM; sums to 1 */
};

/* Without answers the prior's own. */
void eh_held_estimate(struct eh_held *out_held, const struct eh_held_prior *prior,
                      const struct eh_held_answer *answers, size_t answer_count);

/* The chance, by the posterior, that a pass at BPM is clean: a line to draw beside the answers. */
double eh_held_clean_at(const struct eh_held_prior *prior, const struct eh_held_answer *answers,
                        size_t answer_count, double bpm);

#endif
