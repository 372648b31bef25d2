/* Lines and curves against NIST's certified values, GSL and random data. */
#include <criterion/criterion.h>
#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>

#include "evenhand/stats.h"

static uint64_t state;

static double uniform(void) {
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return ((double)(state >> 11) + 0.5) / 9007199254740992.0;
}

static double normal(void) {
    return eh_normal_quantile(uniform());
}

/* NIST StRD, linear regression, Norris; y first. */
static const double norris[36][2] = {
    {0.1, 0.2},     {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1},    {228.1, 226.5},
    {668.5, 666.3}, {998.5, 996.3}, {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4},
    {0.1, 0.6},     {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0}, {448.9, 447.5}, {10.8, 11.6},
    {557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
    {0.6, 0.3},     {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0},
    {10.2, 11.1},   {117.6, 118.3}, {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5}};

static void rising(double *x, double *y, size_t n) {
    for (size_t i = 1; i < n; i++) {
        for (size_t j = i; j > 0 && x[j - 1] > x[j]; j--) {
            double t = x[j];
            x[j] = x[j - 1];
            x[j - 1] = t;
            t = y[j];
            y[j] = y[j - 1];
            y[j - 1] = t;
        }
    }
}

static void load(double *x, double *y) {
    for (int i = 0; i < 36; i++) {
        y[i] = norris[i][0];
        x[i] = norris[i][1];
    }
    rising(x, y, 36);
}

Test(fit, least_squares_equals_nist_norris) {
    double x[36], y[36];
    load(x, y);
    struct eh_line line = eh_line_fit(x, y, 36);
    cr_expect_float_eq(line.intercept, -0.262323073774029, 1e-12);
    cr_expect_float_eq(line.slope, 1.00211681802045, 1e-13);
    cr_expect_float_eq(line.intercept_se, 0.232818234301152, 1e-12);
    cr_expect_float_eq(line.slope_se, 0.429796848199937E-03, 1e-14);
    cr_expect_float_eq(line.residual_sd * line.residual_sd, 0.782864662630069, 1e-11);
}

/* Computed from the same data by the definition: the median of 629 slopes (one of the 630 pairs
 * has equal x). */
Test(fit, theil_sen_of_norris) {
    double x[36], y[36], room[72];
    load(x, y);
    struct eh_estimate e = eh_slope(x, y, 36, 0.9, room);
    cr_expect_float_eq(e.value, 1.0021968365553604, 1e-12);
    cr_expect(e.low < e.value && e.value < e.high);
}

Test(fit, theil_sen_equals_enumeration_with_ties) {
    state = 21;
    for (size_t n = 2; n < 40; n += 3) {
        double x[40], y[40], room[80], all[800];
        size_t count = 0;
        for (size_t i = 0; i < n; i++) {
            x[i] = floor(uniform() * (double)n);
            y[i] = floor(normal() * 4);
        }
        rising(x, y, n);
        for (size_t i = 0; i < n; i++) {
            for (size_t j = i + 1; j < n; j++) {
                if (x[j] > x[i]) {
                    all[count++] = (y[j] - y[i]) / (x[j] - x[i]);
                }
            }
        }
        double got = eh_slope(x, y, n, 0.9, room).value;
        cr_expect(count == 0 ? isnan(got) : fabs(got - eh_median(all, count)) < 1e-9, "n %zu", n);
    }
}

Test(fit, theil_sen_interval_covers) {
    enum { RUNS = 400 };
    state = 22;
    int covered = 0;
    for (int r = 0; r < RUNS; r++) {
        double x[24], y[24], room[48];
        for (int i = 0; i < 24; i++) {
            x[i] = i;
            y[i] = 0.5 * i + normal();
        }
        struct eh_estimate e = eh_slope(x, y, 24, 0.9, room);
        covered += e.low <= 0.5 && e.high >= 0.5;
    }
    printf("Theil-Sen coverage %.3f\n", (double)covered / RUNS);
    cr_expect(covered >= 0.84 * RUNS && covered <= 0.95 * RUNS);
}

/* GSL's robust regression with Huber's weight: same estimator, its own scale estimate, so the fits
 * agree to a part of their error. */
Test(fit, huber_curve_agrees_with_gsl) {
    enum { N = 60 };
    state = 23;
    double x[N], y[N], room[2 * N];
    gsl_matrix *X = gsl_matrix_alloc(N, 3);
    gsl_vector *Y = gsl_vector_alloc(N);
    gsl_vector *c = gsl_vector_alloc(3);
    gsl_matrix *cov = gsl_matrix_alloc(3, 3);
    for (int i = 0; i < N; i++) {
        x[i] = i / (double)(N - 1);
        y[i] = 3 - 20 * x[i] + 40 * x[i] * x[i] + 5 * normal() + (i % 11 == 3 ? 60 : 0);
        gsl_matrix_set(X, i, 0, 1);
        gsl_matrix_set(X, i, 1, x[i]);
        gsl_matrix_set(X, i, 2, x[i] * x[i]);
        gsl_vector_set(Y, i, y[i]);
    }
    gsl_multifit_robust_workspace *w = gsl_multifit_robust_alloc(gsl_multifit_robust_huber, N, 3);
    gsl_multifit_robust(X, Y, c, cov, w);
    struct eh_curve curve = eh_curve_fit(x, y, N, 2, room);
    for (int i = 0; i < 3; i++) {
        double se = sqrt(gsl_matrix_get(cov, i, i));
        cr_expect_float_eq(curve.c[i], gsl_vector_get(c, i), 0.25 * se, "c%d %g %g se %g", i,
                           curve.c[i], gsl_vector_get(c, i), se);
        cr_expect_float_eq(sqrt(curve.cov[i][i]), se, 0.4 * se);
    }
    gsl_multifit_robust_free(w);
    gsl_matrix_free(X);
    gsl_vector_free(Y);
    gsl_vector_free(c);
    gsl_matrix_free(cov);
}

Test(fit, a_curve_without_noise_is_found_exactly) {
    double x[20], y[20], room[40];
    for (int i = 0; i < 20; i++) {
        x[i] = i / 19.0;
        y[i] = 1 + 2 * x[i] - 3 * x[i] * x[i];
    }
    struct eh_curve c = eh_curve_fit(x, y, 20, 2, room);
    cr_expect_float_eq(c.c[0], 1, 1e-9);
    cr_expect_float_eq(c.c[1], 2, 1e-8);
    cr_expect_float_eq(c.c[2], -3, 1e-8);
    cr_expect(isnan(eh_curve_fit(x, y, 4, 2, room).c[0]));
    for (int i = 0; i < 20; i++) {
        x[i] = 0.5;
    }
    cr_expect(isnan(eh_curve_fit(x, y, 20, 1, room).c[0]));
}

/* Errors that follow each other with lag-1 0.4, as drummers' do: the widened interval of the slope
 * at the end still covers. */
Test(fit, widened_errors_cover_under_correlation, .timeout = 10) {
    enum { N = 64, RUNS = 600 };
    state = 24;
    for (int kind = 0; kind < 2; kind++) {
        double r = kind == 0 ? 0.0 : 0.4;
        int covered = 0;
        for (int run = 0; run < RUNS; run++) {
            double x[N], y[N], room[2 * N];
            double last = normal();
            for (int i = 0; i < N; i++) {
                last = r * last + sqrt(1 - r * r) * normal();
                x[i] = i / (double)(N - 1);
                y[i] = -4 * x[i] * x[i] + last;
            }
            struct eh_curve c = eh_curve_fit(x, y, N, 2, room);
            double slope = c.c[1] + 2 * c.c[2];
            double se = c.widen * sqrt(c.cov[1][1] + 4 * c.cov[1][2] + 4 * c.cov[2][2]);
            covered += fabs(slope + 8) <= 1.645 * se;
        }
        printf("end slope coverage at lag-1 %.1f: %.3f\n", r, (double)covered / RUNS);
        cr_expect(covered >= 0.82 * RUNS && covered <= 0.96 * RUNS, "%d", covered);
    }
}

/* Errors of which a part is slow: the interval of the slope at the end covers, whether the errors
 * are independent or follow each other briefly (then it is wider than need be), or wander. 400
 * runs: three standard errors are 4.5 points. */
Test(fit, the_end_of_a_wandering_row_is_covered, .timeout = 10) {
    static const struct {
        int n;
        double slow, keep;
    } rows[] = {{64, 0.0, 0.0}, {64, 1.0, 0.4}, {32, 0.5, 0.92}, {64, 0.4, 0.92}, {128, 0.4, 0.92}};
    static const double end[3] = {0, 1, 2};
    enum { N = 128, RUNS = 400 };
    state = 25;
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        int covered = 0;
        for (int run = 0; run < RUNS; run++) {
            double x[N], y[N], room[2 * N];
            double wander = normal();
            for (int i = 0; i < rows[k].n; i++) {
                wander = rows[k].keep * wander + sqrt(1 - rows[k].keep * rows[k].keep) * normal();
                x[i] = i / (rows[k].n - 1.0);
                y[i] = -4 * x[i] * x[i] + sqrt(rows[k].slow) * wander +
                       sqrt(1 - rows[k].slow) * normal();
            }
            struct eh_estimate e = eh_wander_fit(x, y, (size_t)rows[k].n, end, 0.9, room);
            covered += e.low <= -8 && e.high >= -8;
        }
        printf("wandering %d, %.1f slow: covered %.3f\n", rows[k].n, rows[k].slow,
               (double)covered / RUNS);
        cr_expect(covered >= 0.83 * RUNS && covered <= (k <= 1 ? 0.998 : 0.985) * RUNS,
                  "row %zu: %d", k, covered);
    }
}

/* Two bars of sixteenths whose errors are mostly slow, by players who start with the click or
 * nearly so and get faster or slower: with such beliefs the interval covers and is not wider than
 * need be. 2000 runs: three standard errors are 2 points. */
Test(fit, what_is_believed_of_a_short_wandering_row_is_covered, .timeout = 10) {
    static const double end[3] = {0, 1, 2};
    static const struct eh_belief beliefs[] = {
        {0.90, 0.44, 3.5}, {0.03, 4.4, 0.22}, {0.07, 4.4, 3.5}};
    enum { N = 33, RUNS = 2000 };
    int covered = 0;
    int beyond = 0;
    state = 26;
    for (int run = 0; run < RUNS; run++) {
        double x[N], y[N], room[2 * N];
        double wander = normal();
        const double first = 0.44 * normal();
        const double second = 3.5 * normal();
        for (int i = 0; i < N; i++) {
            wander = 0.89 * wander + sqrt(1 - 0.89 * 0.89) * normal();
            x[i] = i / (N - 1.0);
            y[i] = first * x[i] + second * x[i] * x[i] + 0.28 * (0.88 * wander + 0.48 * normal());
        }
        const double right = first + 2 * second;
        struct eh_estimate e = eh_wander_believe(x, y, N, end, beliefs, 3, 0.9, room);
        covered += e.low <= right && right <= e.high;
        beyond += e.low > right;
    }
    printf("believed: covered %.3f\n", (double)covered / RUNS);
    cr_expect(covered >= 0.84 * RUNS && covered <= 0.95 * RUNS, "%d", covered);
    cr_expect(beyond <= 0.08 * RUNS, "%d", beyond);
}

/* The same grid and beliefs worked out with NumPy 1.24 and SciPy 1.10 by dense matrices (restricted
 * likelihood, scipy.stats.multivariate_normal for what a belief makes of it) and the quantiles of
 * the mixture by scipy.optimize.brentq. */
Test(fit, beliefs_and_grid_equal_dense_matrices) {
    static const double end[3] = {0, 1, 2};
    static const struct eh_belief beliefs[] = {{0.9, 12, 100}, {0.1, 80, 10}};
    double x[33], y[33], room[66];
    for (int i = 0; i < 33; i++) {
        x[i] = i / 32.0;
        y[i] = -60 * x[i] * x[i] + 7 * sin(1.7 * i) + 5 * cos(0.31 * i);
    }
    struct eh_estimate e = eh_wander_believe(x, y, 33, end, beliefs, 2, 0.9, room);
    cr_expect_float_eq(e.value, -132.2415, 0.002, "%.5f", e.value);
    cr_expect_float_eq(e.low, -168.3517, 0.02, "%.5f", e.low);
    cr_expect_float_eq(e.high, -95.7766, 0.02, "%.5f", e.high);
}

Test(fit, a_row_without_errors_has_its_exact_end_slope) {
    static const double end[3] = {0, 1, 2};
    double x[40], y[40], room[80];
    for (int i = 0; i < 40; i++) {
        x[i] = i / 39.0;
        y[i] = 5 + 2 * x[i] - 3 * x[i] * x[i];
    }
    struct eh_estimate e = eh_wander_fit(x, y, 40, end, 0.9, room);
    cr_expect_float_eq(e.value, -4, 1e-4);
    cr_expect(isnan(eh_wander_fit(x, y, 7, end, 0.9, room).value));
}
