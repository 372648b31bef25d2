#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

#include "evenhand/pool.h"

static const double half_se = 1.6448536269514722;

static struct eh_finding number(enum eh_aspect aspect, double value, double half, double low,
                                double high, const char *unit, uint32_t n) {
    struct eh_finding f = {.aspect = aspect,
                           .side = EH_SIDE_BOTH,
                           .value = value,
                           .low = value - half,
                           .high = value + half,
                           .limit_low = low,
                           .limit_high = high,
                           .n = n};
    snprintf(f.unit, sizeof f.unit, "%s", unit);
    return f;
}

static struct eh_estimate pool_all(const struct eh_finding *f, size_t n, double scale_sd,
                                   struct eh_pool *pool) {
    double low = 0.0;
    double high = 0.0;
    *pool = (struct eh_pool){0};
    for (size_t i = 0; i < n; i++) {
        cr_assert(eh_pool_add(pool, &f[i], scale_sd));
    }
    return eh_pool_estimate(pool, &low, &high);
}

/* Selenium in milk powder by four methods: means, variances and numbers as published (Eberhardt,
 * Reeve & Spiegelman 1989, Chemometrics and Intelligent Laboratory Systems 5, 129-148; their
 * common mean by inverse variances is 109.60: from memory). */
Test(pool, finds_the_common_mean_of_a_published_example) {
    static const double mean[] = {105.0, 109.75, 109.5, 113.25};
    static const double variance[] = {85.711, 20.748, 2.729, 33.640};
    static const uint32_t n[] = {8, 12, 14, 8};
    struct eh_finding f[4];
    struct eh_pool pool;
    double w = 0.0;
    double meier = 0.0;
    for (int i = 0; i < 4; i++) {
        const double se = sqrt(variance[i] / n[i]);
        f[i] = number(EH_ASPECT_TIMING, mean[i], half_se * se, NAN, 200, "ms", n[i]);
        w += 1.0 / (se * se);
    }
    const struct eh_estimate e = pool_all(f, 4, 0.0, &pool);
    cr_expect_float_eq(e.value, 109.602, 0.001, "%.4f", e.value);
    /* Meier 1953: var = (1 + 4 sum p (1 - p) / df) / W; here chi-square is below its 3 degrees. */
    for (int i = 0; i < 4; i++) {
        const double p = n[i] / variance[i] / w;
        meier += 4.0 * p * (1.0 - p) / (n[i] - 1.0);
    }
    const double se = sqrt((1.0 + meier) / w);
    double chi_square = 0.0;
    for (int i = 0; i < 4; i++) {
        chi_square += n[i] / variance[i] * (mean[i] - e.value) * (mean[i] - e.value);
    }
    cr_assert(chi_square > 3.0 && chi_square < 7.0);
    cr_expect_float_eq((e.high - e.low) / 2.0 / half_se, se * sqrt(chi_square / 3.0), 1e-9);
    cr_expect_eq(e.n, 42);
}

Test(pool, of_one_pass_is_that_pass) {
    const struct eh_finding f = number(EH_ASPECT_HAND_LEVEL, -2.5, 0.9, -3.0, 3.0, "dB", 30);
    struct eh_pool pool;
    double low = 0.0;
    double high = 0.0;
    (void)pool_all(&f, 1, 0.0, &pool);
    const struct eh_estimate e = eh_pool_estimate(&pool, &low, &high);
    cr_expect_float_eq(e.value, f.value, 1e-12);
    cr_expect_float_eq(e.low, f.low, 1e-9);
    cr_expect_float_eq(e.high, f.high, 1e-9);
    cr_expect_float_eq(low, -3.0, 1e-9);
    cr_expect_float_eq(high, 3.0, 1e-9);
}

/* n equal passes leave a root of n of the interval, but for Meier's share. */
Test(pool, of_equal_passes_narrows_by_the_root_of_their_number) {
    struct eh_finding f[4];
    struct eh_pool pool;
    for (int i = 0; i < 4; i++) {
        f[i] = number(EH_ASPECT_DIDDLE_SPACING, 0.53, 0.04, 0.45, 0.55, "share", 1000000);
    }
    const struct eh_estimate e = pool_all(f, 4, 0.0, &pool);
    cr_expect_float_eq(e.high - e.value, 0.02, 1e-5);
    cr_expect_float_eq(e.value - e.low, 0.02, 1e-5);
}

/* Birge 1932: two readings five of their standard errors apart, chi-square 12.5 on one degree. */
Test(pool, of_passes_that_disagree_is_wider) {
    const struct eh_finding f[] = {
        number(EH_ASPECT_HAND_TIMING, 0.0, half_se, -8, 8, "ms", 1000000),
        number(EH_ASPECT_HAND_TIMING, 5.0, half_se, -8, 8, "ms", 1000000)};
    struct eh_pool pool;
    const struct eh_estimate e = pool_all(f, 2, 0.0, &pool);
    cr_expect_float_eq(e.value, 2.5, 1e-9);
    cr_expect_float_eq((e.high - e.low) / 2.0 / half_se, sqrt(0.5 * 12.5), 1e-4);
}

Test(pool, does_not_narrow_what_the_pads_map_leaves_open) {
    /* The judge's interval: a reading of 10 dB +- 0.5, on a map of +- 16 % (docs/measures.md). */
    const double up = 10.0 * expm1(half_se * 0.1);
    const double down = -10.0 * expm1(-half_se * 0.1);
    struct eh_finding f[64];
    struct eh_pool pool;
    for (int i = 0; i < 64; i++) {
        f[i] = number(EH_ASPECT_ACCENT, 10.0, 0.0, 4.5, 12.0, "dB", 1000000);
        f[i].low = 10.0 - hypot(0.5, down);
        f[i].high = 10.0 + hypot(0.5, up);
    }
    struct eh_estimate e = pool_all(f, 64, 0.1, &pool);
    const double own = e.high - e.value;
    cr_expect(own >= up && own < up + 0.1, "%g of %g", own, up);
    cr_expect(e.value - e.low >= down && e.value - e.low < down + 0.1);
    e = pool_all(f, 64, 0.0, &pool);
    cr_expect_lt(e.high - e.value, up / 4.0);
}

Test(pool, adds_exact_counts_and_their_limits) {
    struct eh_finding f[] = {number(EH_ASPECT_MISSED, 3, 0, 0, 2, "strokes", 60),
                             number(EH_ASPECT_MISSED, 1, 0, 0, 2, "strokes", 60)};
    struct eh_pool pool;
    double low = 0.0;
    double high = 0.0;
    (void)pool_all(f, 2, 0.0, &pool);
    const struct eh_estimate e = eh_pool_estimate(&pool, &low, &high);
    cr_expect(e.value == 4 && e.low == 4 && e.high == 4 && high == 4);
    cr_expect_eq(eh_pool_stands(&pool, EH_ASPECT_MISSED, 8), EH_STANDS_INSIDE);
    cr_assert(eh_pool_add(&pool, &f[0], 0.0));
    cr_expect_eq(eh_pool_stands(&pool, EH_ASPECT_MISSED, 8), EH_STANDS_ABOVE); /* 7 of 6 */
}

Test(pool, refuses_what_is_not_of_its_kind) {
    const struct eh_finding centre =
        number(EH_ASPECT_DIDDLE_SPACING, 0.5, 0.02, 0.45, 0.55, "share", 16);
    const struct eh_finding spread =
        number(EH_ASPECT_DIDDLE_SPACING, 0.12, 0.02, NAN, 0.07, "share", 16);
    const struct eh_finding nothing = number(EH_ASPECT_DIDDLE_SPACING, NAN, 0, NAN, NAN, "", 0);
    struct eh_pool pool = {0};
    double low = 0.0;
    double high = 0.0;
    cr_expect_not(eh_pool_add(&pool, &nothing, 0.0));
    cr_expect(isnan(eh_pool_estimate(&pool, &low, &high).value));
    cr_expect(eh_pool_add(&pool, &centre, 0.0));
    cr_expect_not(eh_pool_add(&pool, &spread, 0.0));
    cr_expect_eq(pool.passes, 1);
}

Test(pool, makes_few_strokes_enough) {
    const struct eh_finding f =
        number(EH_ASPECT_DIDDLE_SPACING, 0.64, 0.06, 0.45, 0.55, "share", 5);
    struct eh_pool pool = {0};
    cr_assert(eh_pool_add(&pool, &f, 0.0));
    cr_expect_eq(eh_pool_stands(&pool, EH_ASPECT_DIDDLE_SPACING, 8), EH_STANDS_FEW);
    cr_assert(eh_pool_add(&pool, &f, 0.0));
    cr_expect_eq(eh_pool_stands(&pool, EH_ASPECT_DIDDLE_SPACING, 8), EH_STANDS_ABOVE);
    cr_expect_eq(eh_pool_stands(&pool, EH_ASPECT_DIDDLE_SPACING, 16), EH_STANDS_FEW);
    cr_expect_eq(eh_pool_stands(&pool, EH_ASPECT_TEMPO, 8), EH_STANDS_FEW);
}

/* The rule's edges: on a limit is inside it, and the interval's end on it is not beyond. */
Test(pool, follows_the_judges_rule_at_its_edges) {
    static const struct {
        double value, half, low, high;
        enum eh_standing place;
    } rows[] = {{0.55, 0.001, 0.45, 0.55, EH_STANDS_INSIDE},
                {0.56, 0.0101, 0.45, 0.55, EH_STANDS_STRADDLES},
                {0.56, 0.0099, 0.45, 0.55, EH_STANDS_ABOVE},
                {0.44, 0.0099, 0.45, 0.55, EH_STANDS_BELOW},
                {0.50, 0.0499, 0.45, 0.55, EH_STANDS_INSIDE},
                {0.50, 0.0501, 0.45, 0.55, EH_STANDS_WIDE},
                {20, 19.9, NAN, 20, EH_STANDS_INSIDE},
                {20, 20.1, NAN, 20, EH_STANDS_WIDE},
                {4.5, 4.4, 4.5, NAN, EH_STANDS_INSIDE}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct eh_finding f = number(EH_ASPECT_TIMING, rows[i].value, rows[i].half,
                                           rows[i].low, rows[i].high, "ms", 16);
        cr_expect_eq(eh_finding_stands(&f, 8), rows[i].place, "row %zu", i);
    }
}
