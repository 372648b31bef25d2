/* Moments, order and shares against NIST's certified values and GSL. */
#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/stats.h"
#include "nist_data.h"

static uint64_t state = 88172645463325252u;

static double uniform(void) {
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return ((double)(state >> 11) + 0.5) / 9007199254740992.0;
}

static double relative(double a, double b) {
    return fabs(a - b) / fabs(b);
}

/* NIST StRD, certified values; the tolerance is that of the digits certified and of inputs that
 * binary numbers cannot hold. */
Test(stats, mean_sd_and_lag1_equal_nist_certified_values) {
    static double acc[3][1001];
    static const double base[3] = {1.2, 1000000.2, 10000000.2};
    for (int s = 0; s < 3; s++) {
        acc[s][0] = base[s];
        for (int i = 1; i < 1001; i++) {
            acc[s][i] = base[s] + (i % 2 == 1 ? -0.1 : 0.1);
        }
    }
    static const double acc1[3] = {10000001, 10000003, 10000002};
    const struct {
        const char *name;
        const double *v;
        size_t n;
        double mean, sd, lag1, tolerance;
    } rows[] = {
        {"Michelso", nist_michelson, 100, 299.852400000000, 0.0790105478190518, 0.535199668621283,
         1e-11},
        {"Lew", nist_lew, 200, -177.435000000000, 277.332168044316, -0.307304800605679, 1e-13},
        {"Lottery", nist_lottery, 218, 518.958715596330, 291.699727470969, -0.120948622967393,
         1e-13},
        {"Mavro", nist_mavro, 50, 2.00185600000000, 0.000429123454003053, 0.937989183438248, 1e-11},
        {"NumAcc1", acc1, 3, 10000002, 1, -0.5, 1e-14},
        {"NumAcc2", acc[0], 1001, 1.2, 0.1, -0.999, 1e-13},
        {"NumAcc3", acc[1], 1001, 1000000.2, 0.1, -0.999, 1e-9},
        {"NumAcc4", acc[2], 1001, 10000000.2, 0.1, -0.999, 1e-8},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cr_expect_lt(relative(eh_mean(rows[i].v, rows[i].n), rows[i].mean), 1e-14, "%s mean",
                     rows[i].name);
        cr_expect_lt(relative(eh_sd(rows[i].v, rows[i].n), rows[i].sd), rows[i].tolerance, "%s sd",
                     rows[i].name);
        cr_expect_lt(relative(eh_lag1(rows[i].v, rows[i].n), rows[i].lag1), rows[i].tolerance,
                     "%s lag-1", rows[i].name);
    }
}

Test(stats, order_statistics_equal_gsl_on_random_samples) {
    static double v[700], sorted[700], work[2100];
    static int whole[3500];
    for (size_t n = 2; n <= EH_STATS_EXACT; n += n < 12 ? 1 : 41) {
        for (size_t i = 0; i < n; i++) {
            v[i] = floor(uniform() * (n % 3 == 0 ? 7 : 1e6)); /* ties in every third */
        }
        memcpy(sorted, v, n * sizeof *v);
        eh_sort(sorted, n);
        for (size_t i = 1; i < n; i++) {
            cr_assert_leq(sorted[i - 1], sorted[i]);
        }
        cr_expect_float_eq(eh_quantile(sorted, n, 0.31),
                           gsl_stats_quantile_from_sorted_data(sorted, 1, n, 0.31), 1e-6);
        double copy[700];
        memcpy(copy, v, n * sizeof *v);
        double median = gsl_stats_median_from_sorted_data(sorted, 1, n);
        cr_expect_eq(eh_median(copy, n), median);
        memcpy(copy, v, n * sizeof *v);
        cr_expect_float_eq(eh_mad(copy, n), gsl_stats_mad(v, 1, n, work), 1e-9 * (1 + median));
        memcpy(copy, v, n * sizeof *v);
        /* The factors for small samples are those of Croux & Rousseeuw 1992; GSL has newer ones,
         * so the order statistic underneath is compared. */
        static const double small[] = {0.399, 0.994, 0.512, 0.844, 0.611, 0.857, 0.669, 0.872};
        double raw = gsl_stats_Qn0_from_sorted_data(sorted, 1, n, work, whole);
        double m = (double)n;
        double factor = n < 10 ? small[n - 2] : n % 2 == 1 ? m / (m + 1.4) : m / (m + 3.8);
        cr_expect_float_eq(eh_spread(copy, n, 0.9).value, 2.21914 * factor * raw, 1e-9 * (1 + raw),
                           "n %zu", n);
        size_t k = n / 3;
        memcpy(copy, v, n * sizeof *v);
        cr_expect_eq(eh_select(copy, n, k), sorted[k]);
    }
}

static int rising(const void *a, const void *b) {
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Rows in order, the other way round, of few steps, of one value, at random. */
static double shaped(int shape, size_t i) {
    const double steps[] = {(double)i, -(double)i, (double)(i % 7), 3.0, floor(uniform() * 5.0)};
    return shape < 5 ? steps[shape] : uniform();
}

Test(stats, sorting_and_selecting_keep_every_value_of_rows_of_any_shape) {
    static double v[300], sorted[300], copy[300];
    for (size_t n = 1; n <= 300; n += n < 70 ? 1 : 23) {
        for (int shape = 0; shape < 6; shape++) {
            for (size_t i = 0; i < n; i++) {
                v[i] = shaped(shape, i);
            }
            memcpy(sorted, v, n * sizeof *v);
            qsort(sorted, n, sizeof *sorted, rising);
            memcpy(copy, v, n * sizeof *v);
            eh_sort(copy, n);
            cr_assert_eq(memcmp(copy, sorted, n * sizeof *v), 0, "n %zu, shape %d", n, shape);
            for (size_t k = 0; k < n; k += n < 70 ? 1 : 11) {
                memcpy(copy, v, n * sizeof *v);
                cr_assert_eq(eh_select(copy, n, k), sorted[k], "n %zu, shape %d", n, shape);
                for (size_t i = 0; i < n; i++) {
                    cr_assert(i < k ? copy[i] <= sorted[k] : copy[i] >= sorted[k]);
                }
                qsort(copy, n, sizeof *copy, rising);
                cr_assert_eq(memcmp(copy, sorted, n * sizeof *v), 0, "n %zu, shape %d", n, shape);
            }
        }
    }
}

Test(stats, sorting_stands_rows_that_defeat_a_plain_quicksort) {
    static double v[6000];
    for (int shape = 0; shape < 4; shape++) {
        for (int i = 0; i < 6000; i++) {
            v[i] = shape == 0 ? i : shape == 1 ? -i : shape == 2 ? 3 : (i < 3000 ? i : 6000 - i);
        }
        eh_sort(v, 6000);
        for (int i = 1; i < 6000; i++) {
            cr_assert_leq(v[i - 1], v[i], "shape %d", shape);
        }
    }
}

Test(stats, normal_and_student_quantiles_equal_gsl) {
    for (double p = 0.0005; p < 1.0; p += 0.0131) {
        cr_expect_float_eq(eh_normal_quantile(p), gsl_cdf_ugaussian_Pinv(p), 1e-12);
        cr_expect_float_eq(eh_normal_cdf(eh_normal_quantile(p)), p, 1e-13);
    }
    cr_expect_float_eq(eh_normal_quantile(1e-12), gsl_cdf_ugaussian_Pinv(1e-12), 1e-10);
    for (double df = 5; df < 200; df += 7) {
        for (double p = 0.01; p < 1.0; p += 0.07) {
            double t = gsl_cdf_tdist_Pinv(p, df);
            cr_expect_float_eq(eh_student_quantile(p, df), t, 1e-3 * fmax(fabs(t), 0.1), "%g %g", p,
                               df);
        }
    }
}

/* Formula: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1; values computed from it. */
Test(stats, shares_have_wilson_intervals) {
    static const struct {
        size_t k, n;
        double confidence, low, high;
    } rows[] = {
        {4, 20, 0.80, 0.110248, 0.335284},  {4, 20, 0.90, 0.093118, 0.378377},
        {4, 20, 0.95, 0.080658, 0.416017},  {0, 10, 0.95, 0.000000, 0.277533},
        {10, 10, 0.95, 0.722467, 1.000000}, {8, 10, 0.95, 0.490162, 0.943318},
        {17, 20, 0.95, 0.639581, 0.947631}, {1, 1, 0.95, 0.206549, 1.000000},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_estimate e = eh_share(rows[i].k, rows[i].n, rows[i].confidence);
        cr_expect_float_eq(e.low, rows[i].low, 6e-7);
        cr_expect_float_eq(e.high, rows[i].high, 6e-7);
    }
    cr_expect(isnan(eh_share(0, 0, 0.9).value));
}

/* 1/Phi^-1(0.75) and the value of Michelso, Lew and Mavro: computed from the data by the
 * definition (NIST Dataplot reference, "MEDIAN ABSOLUTE DEVIATION"). */
Test(stats, mad_of_nist_sets) {
    static const struct {
        const double *v;
        size_t n;
        double median, mad;
    } rows[] = {{nist_michelson, 100, 299.85, 0.045},
                {nist_lew, 200, -162, 270.5},
                {nist_mavro, 50, 2.0018, 0.0003}};
    for (size_t i = 0; i < 3; i++) {
        double copy[200];
        memcpy(copy, rows[i].v, rows[i].n * sizeof *copy);
        cr_expect_float_eq(eh_median(copy, rows[i].n), rows[i].median, 1e-9);
        cr_expect_float_eq(eh_mad(copy, rows[i].n), rows[i].mad * 1.482602218505602, 1e-7);
    }
}
