/* Estimates of the measures against scipy 1.10.1 and against samples whose truth is known. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "measure.h"

static const double first[] = {3.1, -2.0, 5.5, 0.4, 1.9, -0.7, 2.6, 24.0, 4.2, -9.5, 1.1, 0.2};
static const double second[] = {-1.5, 2.2, 0.3, -4.1, 1.4, -0.6, 9.8, -2.7, 0.9, 3.3};
enum { FIRST = 12, SECOND = 10 };

/* scipy.stats.t.fit(first, fdf=3): 1.459221. */
Test(estimates, of_tailed_readings_are_the_likeliest_of_students_distribution) {
    double a[FIRST];
    double room[FIRST];
    memcpy(a, first, sizeof a);
    const struct eh_estimate e = measure_tailed(a, FIRST, NULL, 0, 0.0, room);
    cr_expect_float_eq(e.value, 1.459221, 1e-4, "%.6f", e.value);
    cr_expect(e.low < e.value && e.value < e.high && e.n == FIRST);
}

/* Centres of both and one scale: scipy.optimize.minimize of -stats.t.logpdf: 1.461632. */
Test(estimates, of_tailed_readings_share_the_hands_scale) {
    double a[FIRST];
    double room[FIRST];
    memcpy(a, first, sizeof a);
    const struct eh_estimate e = measure_tailed(a, FIRST, second, SECOND, 0.0, room);
    cr_expect_float_eq(e.value, 1.461632, 1e-4, "%.6f", e.value);
}

static const double seen[] = {0.4, 3.2, -1.1, 5.0, 1.8, 2.7, -0.3, 6.1, 0.9, 4.4};
static const double least[] = {-3, -1, -2, -3, 0, -4, -1.5, -2.5, -1, -3.5};
static const double others[] = {5.2, 7.9, 3.3, 6.4, 9.1, 4.8, 6.0, 8.2};
static const double least_others[] = {-3, -3, -3, -3, -3, -3, -3, -3};

/* scipy.optimize.minimize of -(norm.logpdf - norm.logsf): centre 1.953183, and 0.833671 hidden;
 * with the other hand's readings 2.119447 and 0.477111. */
Test(estimates, of_cut_readings_are_the_likeliest_of_a_cut_normal_distribution) {
    const struct measure_cut own = {seen, least, 10};
    const struct measure_cut none = {NULL, NULL, 0};
    const struct measure_cut other = {others, least_others, 8};
    double hidden = 0.0;
    struct eh_estimate e = measure_uncut(&own, &none, &hidden);
    cr_expect_float_eq(e.value, 1.953183, 1e-3, "%.6f", e.value);
    cr_expect_float_eq(hidden, 0.833671, 2e-3, "%.6f", hidden);
    e = measure_uncut(&own, &other, &hidden);
    cr_expect_float_eq(e.value, 2.119447, 1e-3, "%.6f", e.value);
    cr_expect_float_eq(hidden, 0.477111, 2e-3, "%.6f", hidden);
}

Test(estimates, of_cut_readings_that_are_all_alike_are_unknown) {
    const double alike[] = {2, 2, 2, 2, 2};
    const struct measure_cut own = {alike, least, 5};
    const struct measure_cut none = {NULL, NULL, 0};
    double hidden = 1.0;
    cr_expect(isnan(measure_uncut(&own, &none, &hidden).value) && hidden == 0.0);
}

/* ---- Samples ---- */

/* Marsaglia 2003, "Xorshift RNGs", J. Stat. Softw. 8(14). */
static double unit(uint64_t *state) {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return ((double)(*state >> 11) + 0.5) / 9007199254740992.0;
}

static double normal(uint64_t *state) {
    return eh_normal_quantile(unit(state));
}

static double student3(uint64_t *state) {
    double squares = 0.0;
    for (int i = 0; i < 3; i++) {
        const double z = normal(state);
        squares += z * z;
    }
    return normal(state) / sqrt(squares / 3.0);
}

enum { SAMPLES = 1500, STROKES = 16 };

/* The information of N readings of Student's distribution of three degrees of freedom leaves their
 * centre a variance of (3 + 3) / (3 + 1) / N scales squared (Lange, Little & Taylor 1989). */
Test(estimates, of_tailed_readings_reach_the_bound_and_cover) {
    uint64_t state = 88172645463325252u;
    int covered = 0;
    double squares = 0.0;
    for (int s = 0; s < SAMPLES; s++) {
        double a[STROKES];
        double b[STROKES];
        double room[STROKES];
        for (int i = 0; i < STROKES; i++) {
            a[i] = student3(&state);
            b[i] = 5.0 + student3(&state);
        }
        const struct eh_estimate e = measure_tailed(a, STROKES, b, STROKES, 0.0, room);
        covered += e.low <= 0.0 && 0.0 <= e.high;
        squares += e.value * e.value;
    }
    const double variance = squares / SAMPLES;
    cr_expect_lt(variance, 1.12 * 1.5 / STROKES, "%.4f", variance);
    cr_expect(covered > 0.87 * SAMPLES && covered < 0.93 * SAMPLES, "%d", covered);
}

/* Grace notes as loud as their main notes, which the pad hides when they are 3 dB softer: the mean
 * of what is seen lies 1.4 dB too high. */
Test(estimates, of_cut_readings_cover_what_was_played) {
    uint64_t state = 88172645463325252u;
    int covered = 0;
    double sum = 0.0;
    for (int s = 0; s < SAMPLES; s++) {
        double a[2 * STROKES];
        double b[2 * STROKES];
        double cut[2 * STROKES];
        struct measure_cut own = {a, cut, 0};
        struct measure_cut other = {b, cut, 2 * STROKES};
        for (int i = 0; i < 2 * STROKES; i++) {
            const double reading = 4.0 * normal(&state);
            cut[i] = -3.0;
            b[i] = 6.0 + fmax(4.0 * normal(&state), -9.0);
            a[own.n] = reading;
            own.n += reading > -3.0;
        }
        double hidden = 0.0;
        const struct eh_estimate e = measure_uncut(&own, &other, &hidden);
        covered += e.low <= 0.0 && 0.0 <= e.high;
        sum += e.value;
    }
    cr_expect_lt(fabs(sum / SAMPLES), 0.25, "%.3f", sum / SAMPLES);
    cr_expect(covered > 0.85 * SAMPLES && covered < 0.95 * SAMPLES, "%d", covered);
}
