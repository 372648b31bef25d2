/* A finding put together from several passes at one tempo.
 *
 * Estimates are weighed by their inverse variances (Cochran 1954, Biometrics 10, 101-129). The
 * weights are estimates themselves: the variance of the sum is raised by what Meier 1953
 * (Biometrics 9, 59-73) found that to cost. Passes that differ by more than their intervals say
 * widen the sum's by the root of chi-square over its degrees of freedom (Birge 1932, Phys. Rev. 40,
 * 207-227). The two sides of an interval are combined each for itself (Zou & Donner 2008, Stat.
 * Med. 27, 1693-1702). How wrong the pad's map of levels may be is the same in all passes: that
 * part of an interval is taken out before and put back after. Exact counts are added up, their
 * limits too.
 *
 * Pure; no allocation; one thread at a time. */
#ifndef EVENHAND_POOL_H
#define EVENHAND_POOL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/judgement.h"
#include "evenhand/rule.h"

/* Sums over passes; all zero is an empty pool. */
struct eh_pool {
    uint32_t passes; /* how many findings are in it */
    uint32_t n;      /* strokes that they rest on */
    bool counts;     /* exact counts */
    bool low_open, high_open;
    char unit[EH_UNIT_TEXT];
    double w, wv, wvv, ww_low, ww_high, w_df, ww_df; /* weights, and what is summed with them */
    double w_limit_low, w_limit_high;
    double scale_sd;              /* of the pad's map, where the unit is dB */
    double value, low, high;      /* counts: sums; else of the latest */
    double limit_low, limit_high; /* counts: sums */
};

/* Adds FINDING of a pass whose pad's map may be wrong by LEVEL_SCALE_SD (struct eh_levels). False,
 * and nothing is added: it has no numbers, or not the kind of those before (another limit is open:
 * "scattered" is no centre). */
bool eh_pool_add(struct eh_pool *pool, const struct eh_finding *finding, double level_scale_sd);

/* The estimate of all, n the strokes of all, and its limits (NAN = open). An empty pool: NAN. */
struct eh_estimate eh_pool_estimate(const struct eh_pool *pool, double *out_limit_low,
                                    double *out_limit_high);

/* Where that lies by the judge's rule, asked for as many strokes as the judge asks for ASPECT: of
 * most aspects LEAST_N, the style's (struct eh_style). */
enum eh_standing eh_pool_stands(const struct eh_pool *pool, enum eh_aspect aspect, double least_n);

/* The same of one finding's own numbers. */
enum eh_standing eh_finding_stands(const struct eh_finding *finding, double least_n);

#endif
