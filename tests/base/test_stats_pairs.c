/* Estimates over pairs: against direct enumeration, published ranks, and coverage on random data.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/stats.h"
#include "nist_data.h"

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

/* Student's t with 5 degrees of freedom: tails like those of human timing. */
static double tailed(void) {
    double squares = 0.0;
    for (int i = 0; i < 5; i++) {
        double z = normal();
        squares += z * z;
    }
    return normal() / sqrt(squares / 5.0);
}

static double pairs_room[70 * 71];

static double middle_of(size_t n) {
    return eh_median(pairs_room, n);
}

Test(pairs, hodges_lehmann_is_the_median_of_all_walsh_averages) {
    state = 7;
    for (size_t n = 1; n < 70; n += 3) {
        double v[70];
        size_t count = 0;
        for (size_t i = 0; i < n; i++) {
            v[i] = n % 2 == 0 ? floor(uniform() * 5) : normal() * 1e3;
        }
        for (size_t i = 0; i < n; i++) {
            for (size_t j = i; j < n; j++) {
                pairs_room[count++] = (v[i] + v[j]) / 2.0;
            }
        }
        double wanted = middle_of(count);
        cr_expect_float_eq(eh_location(v, n, 0.9).value, wanted, 1e-12 * fmax(1, fabs(wanted)),
                           "n %zu", n);
    }
}

Test(pairs, shift_is_the_median_of_all_differences) {
    state = 8;
    for (size_t n = 1; n < 60; n += 5) {
        double a[70], b[70];
        size_t m = 2 * n / 3 + 1;
        size_t count = 0;
        for (size_t i = 0; i < n; i++) {
            a[i] = floor(normal() * (n % 2 == 0 ? 3 : 1e6));
        }
        for (size_t j = 0; j < m; j++) {
            b[j] = normal();
        }
        for (size_t i = 0; i < n; i++) {
            for (size_t j = 0; j < m; j++) {
                pairs_room[count++] = a[i] - b[j];
            }
        }
        double wanted = middle_of(count);
        cr_expect_float_eq(eh_shift(a, n, b, m, 0.9).value, wanted, 1e-12 * fmax(1, fabs(wanted)));
    }
}

/* Computed from NIST StRD data by the definition. */
Test(pairs, hodges_lehmann_of_nist_sets) {
    static const struct {
        const double *v;
        size_t n;
        double wanted;
    } rows[] = {{nist_michelson, 100, 299.85}, {nist_lew, 200, -182}, {nist_mavro, 50, 2.0018}};
    for (size_t i = 0; i < 3; i++) {
        double copy[200];
        memcpy(copy, rows[i].v, rows[i].n * sizeof *copy);
        cr_expect_float_eq(eh_location(copy, rows[i].n, 0.9).value, rows[i].wanted, 1e-9);
    }
}

/* Critical values T of the signed-rank test, two-sided 10 %: n 8: 5, 10: 10, 12: 17, 16: 35,
 * 20: 60, 25: 100 (Wilcoxon & Wilcox 1964, "Some Rapid Approximate Statistical Procedures", as
 * tabled in textbooks; from memory). The interval then ends at the (T + 1)-th Walsh average. */
Test(pairs, interval_ends_at_the_tabled_signed_rank) {
    static const size_t rows[][2] = {{8, 5}, {10, 10}, {12, 17}, {16, 35}, {20, 60}, {25, 100}};
    state = 9;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        double v[25];
        size_t n = rows[r][0];
        size_t count = 0;
        for (size_t i = 0; i < n; i++) {
            v[i] = normal();
        }
        for (size_t i = 0; i < n; i++) {
            for (size_t j = i; j < n; j++) {
                pairs_room[count++] = (v[i] + v[j]) / 2.0;
            }
        }
        struct eh_estimate e = eh_location(v, n, 0.9);
        eh_sort(pairs_room, count);
        cr_expect_float_eq(e.low, pairs_room[rows[r][1]], 1e-12, "n %zu", n);
        cr_expect_float_eq(e.high, pairs_room[count - 1 - rows[r][1]], 1e-12, "n %zu", n);
    }
}

Test(pairs, a_thinned_sample_answers_as_the_whole_would) {
    static double v[4000], w[4000];
    state = 10;
    for (int i = 0; i < 4000; i++) {
        v[i] = tailed();
        w[i] = v[i] + 0.25;
    }
    struct eh_estimate e = eh_location(v, 4000, 0.9);
    cr_expect_float_eq(e.value, 0.0, 0.05);
    /* Asymptotic efficiency of Hodges-Lehmann against the mean at t5: 1.24 (Lehmann 1975), so the
     * half width is 1.645 * sqrt(5/3) / sqrt(1.24 * 4000). */
    cr_expect_float_eq((e.high - e.low) / 2.0, 1.645 * sqrt(5.0 / 3.0 / 1.24 / 4000.0), 0.003);
    cr_expect_float_eq(eh_shift(w, 4000, v, 4000, 0.9).value, 0.25, 1e-9);
    for (int i = 0; i < 4000; i++) {
        v[i] = normal();
    }
    cr_expect_float_eq(eh_spread(v, 4000, 0.9).value, 1.0, 0.04);
}

Test(pairs, equal_values_have_no_width) {
    double v[40], w[40];
    for (int i = 0; i < 40; i++) {
        v[i] = 3.25;
        w[i] = 1.0;
    }
    struct eh_estimate e = eh_location(v, 40, 0.9);
    cr_expect(e.value == 3.25 && e.low == 3.25 && e.high == 3.25);
    e = eh_shift(v, 40, w, 40, 0.9);
    cr_expect(e.value == 2.25 && e.low == 2.25 && e.high == 2.25);
    cr_expect_eq(eh_spread(v, 40, 0.9).value, 0.0);
}

Test(pairs, small_samples_say_what_they_do_not_know) {
    double v[2] = {1, 2};
    cr_expect(isnan(eh_location(v, 0, 0.9).value));
    cr_expect(eh_location(v, 2, 0.9).value == 1.5 && isnan(eh_location(v, 2, 0.9).low));
    cr_expect(isnan(eh_spread(v, 1, 0.9).value));
    cr_expect(isnan(eh_shift(v, 0, v, 2, 0.9).value));
}

struct coverage {
    int location, shift, spread;
};

static struct coverage cover(size_t n, double (*draw)(void), double spread, int runs) {
    struct coverage c = {0, 0, 0};
    for (int r = 0; r < runs; r++) {
        double v[64], w[64];
        for (size_t i = 0; i < n; i++) {
            v[i] = draw();
            w[i] = draw() - 1.0;
        }
        struct eh_estimate e = eh_shift(v, n, w, n, 0.9);
        c.shift += e.low <= 1.0 && e.high >= 1.0;
        e = eh_location(v, n, 0.9);
        c.location += e.low <= 0.0 && e.high >= 0.0;
        e = eh_spread(v, n, 0.9);
        c.spread += e.low <= spread && e.high >= spread;
    }
    return c;
}

/* What a 90 % interval promises. 1500 runs: three standard errors are 2.3 points. */
Test(pairs, intervals_cover_the_truth_in_nine_of_ten, .timeout = 10) {
    enum { RUNS = 1500 };
    static const size_t sizes[] = {8, 16, 32, 64};
    state = 11;
    double sum = 0.0;
    static double big[200000];
    for (int i = 0; i < 200000; i++) {
        big[i] = tailed();
    }
    double tailed_spread = eh_spread(big, 200000, 0.9).value;
    for (int s = 0; s < 4; s++) {
        for (int t = 0; t < 2; t++) {
            struct coverage c = cover(sizes[s], t ? tailed : normal, t ? tailed_spread : 1.0, RUNS);
            printf("n %2zu %s: location %.3f shift %.3f spread %.3f\n", sizes[s],
                   t ? "t5" : "normal", (double)c.location / RUNS, (double)c.shift / RUNS,
                   (double)c.spread / RUNS);
            cr_expect(c.location >= 0.87 * RUNS && c.location <= 0.95 * RUNS);
            cr_expect(c.shift >= 0.87 * RUNS && c.shift <= 0.95 * RUNS);
            cr_expect(c.spread >= 0.85 * RUNS && c.spread <= 0.96 * RUNS);
            sum += c.location;
        }
    }
    cr_expect_gt(sum, 0.0);
}
