/* Robust statistics of small and large samples.
 *
 * Pure functions. None allocates: where a function needs room it reorders the caller's sample or
 * takes SCRATCH. Samples hold finite numbers only. Where a sample is too small for an answer the
 * answer is NAN. CONFIDENCE is two-sided, e.g. 0.90. Any thread.
 *
 * Selections among pairs (Hodges-Lehmann, shift, Qn) are exact up to EH_STATS_EXACT values; a
 * larger sample is first thinned to that many of its own evenly spaced quantiles, which moves the
 * answer by far less than its interval. Of more than EH_STATS_LARGEST values that many are picked
 * evenly, and the interval is theirs: it is then narrower than anything that matters. All take
 * O(n log n).
 */
#ifndef EVENHAND_STATS_H
#define EVENHAND_STATS_H

#include <stddef.h>

enum { EH_STATS_EXACT = 256, EH_STATS_LARGEST = 4096 };

/* An estimate with its interval; value, low and high share a unit. NAN where unknown. */
struct eh_estimate {
    double value, low, high;
    size_t n;
};

/* ---- Normal and Student distributions ---- */

double eh_normal_cdf(double z);

/* P in (0, 1). Wichura 1988, algorithm AS 241 (PPND16), Applied Statistics 37, 477-484. */
double eh_normal_quantile(double p);

/* P in (0, 1), DF > 0; within 0.1 % for DF >= 5 and 0.01 <= P <= 0.99 (Cornish-Fisher series,
 * Abramowitz & Stegun 26.7.5). */
double eh_student_quantile(double p, double df);

/* P in (0, 1), DF > 0; within 2 % for DF >= 5 and 0.05 <= P <= 0.95 (Wilson & Hilferty 1931, Proc.
 * Natl. Acad. Sci. 17, 684-688; Abramowitz & Stegun 26.4.17). */
double eh_chi_square_quantile(double p, double df);

/* ---- Moments ---- */

/* Two passes each: the mean of what is left over corrects the first sum. */
double eh_mean(const double *v, size_t n);
double eh_sd(const double *v, size_t n); /* n - 1; NAN below two */

/* Lag-1 autocorrelation: sum (v[i]-m)(v[i+1]-m) / sum (v[i]-m)^2. NAN when constant. */
double eh_lag1(const double *v, size_t n);

/* ---- Order ---- */

/* Rising. In place; no recursion deeper than log2 n, never worse than O(n log n). */
void eh_sort(double *v, size_t n);

/* The K-th smallest (from 0); reorders V. K < N. */
double eh_select(double *v, size_t n, size_t k);

/* Reorders V. */
double eh_median(double *v, size_t n);

/* Median absolute deviation about the median times 1.482602218505602, which is near the SD of
 * normal data. Overwrites V. */
double eh_mad(double *v, size_t n);

/* Of rising values, linear between order statistics (h = (n - 1) p). */
double eh_quantile(const double *sorted, size_t n, double p);

/* ---- Location, shift, spread ---- */

/* Hodges-Lehmann estimate with its signed-rank interval (exact ranks up to 25 values, the normal
 * approximation with a continuity correction above). Sorts V. Below three values: no interval. */
struct eh_estimate eh_location(double *v, size_t n, double confidence);

/* How far A lies above B: the median of all differences, with the Mann-Whitney interval (normal
 * approximation with a continuity correction). Sorts both. n is the smaller count. */
struct eh_estimate eh_shift(double *a, size_t a_count, double *b, size_t b_count,
                            double confidence);

/* Spread as an SD would measure it on normal data: Qn of Croux & Rousseeuw 1992 with their factors
 * for small samples. The interval is log-normal with 0.95/sqrt(n - 1.5) (normal data need
 * 0.78, the longer tails of human playing more). Sorts V. */
struct eh_estimate eh_spread(double *v, size_t n, double confidence);

/* The same by Huber's proposal 2 (Huber 1964, Ann. Math. Stat. 35, 73-101): readings further than
 * BOUND (1 .. 4) scales from the centre count as if they stood there. With 2 it tells more of a
 * small sample than Qn does (an efficiency of 0.89 on normal data), and stands up to one reading in
 * six that is wrong, not to half of them. The interval is that of an SD, with 0.8 of the degrees
 * of freedom that normal data would leave. 0 where over three in four readings are alike; NAN below
 * two. Sorts V. */
struct eh_estimate eh_scale(double *v, size_t n, double bound, double confidence);

/* ---- Lines and curves ---- */

struct eh_line {
    double intercept, slope;
    double intercept_se, slope_se;
    double residual_sd;
};

/* Ordinary least squares. NAN below three points or when X is constant. */
struct eh_line eh_line_fit(const double *x, const double *y, size_t n);

/* Theil-Sen slope of points in rising (not falling) order of X, with Sen's interval. SCRATCH holds
 * 2 N values. Exact up to EH_STATS_EXACT points, evenly picked points above. */
struct eh_estimate eh_slope(const double *x, const double *y, size_t n, double confidence,
                            double *scratch);

enum { EH_CURVE_DEGREE = 2 };

struct eh_curve {
    int degree;
    double c[EH_CURVE_DEGREE + 1];                        /* c[0] + c[1] x + c[2] x^2 */
    double cov[EH_CURVE_DEGREE + 1][EH_CURVE_DEGREE + 1]; /* of the coefficients, for errors that
                                                             are independent of each other */
    double scale;                                         /* 1.4826 MAD of the residuals */
    double lag1;  /* of the residuals, corrected for its own bias; 0 .. 0.8 */
    double widen; /* sqrt((1 + lag1) / (1 - lag1)): what correlation makes of an error */
    size_t n;
};

/* A polynomial of DEGREE 0 .. 2 by Huber's M-estimate (k = 1.345), points in order of time.
 * SCRATCH holds 2 N values. X should lie near 0 .. 1. c[0] is NAN when N <= DEGREE + 2 or X does
 * not determine the curve. */
struct eh_curve eh_curve_fit(const double *x, const double *y, size_t n, int degree,
                             double *scratch);

/* G . c, where c[0] + c[1] x + c[2] x^2 is the curve through points in order of time whose errors
 * are partly independent and partly slow, in a mixture that is found from the points themselves.
 * So G = {0, 1, 2} is the slope at x = 1. SCRATCH holds 2 N values. NAN below eight points or when
 * X does not determine the curve. */
struct eh_estimate eh_wander_fit(const double *x, const double *y, size_t n, const double g[3],
                                 double confidence, double *scratch);

/* What may be believed of a curve before its points are seen: c[1] and c[2] near 0, with these
 * standard deviations (in the unit of Y). Several beliefs are weighed by WEIGHT and by how well the
 * points agree with each. */
struct eh_belief {
    double weight, first_sd, second_sd; /* > 0 */
};

enum { EH_BELIEFS_MAX = 4 };

/* The same, with at most EH_BELIEFS_MAX beliefs, which must say all that G asks: G[0] is 0. Without
 * any it is eh_wander_fit. */
struct eh_estimate eh_wander_believe(const double *x, const double *y, size_t n, const double g[3],
                                     const struct eh_belief *beliefs, size_t belief_count,
                                     double confidence, double *scratch);

/* ---- Shares ---- */

/* Wilson's interval for HITS of N. NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1. */
struct eh_estimate eh_share(size_t hits, size_t n, double confidence);

#endif
