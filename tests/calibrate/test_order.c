/* The median's interval and the edge of what is seen: they cover what they say. */
#include <criterion/criterion.h>
#include <math.h>

#include "parts.h"
#include "tapper.h"

/* Ranks of the sign test's interval with at most 5 % on either side, from the binomial distribution
 * with p = 1/2; Conover, Practical Nonparametric Statistics, table A3: n = 16 leaves out four
 * values at either end (0.0384), n = 10 one (0.0107), n = 5 none (0.03125). Held against
 * scipy.stats.binom in outside_numbers.py too. */
Test(order, the_median_has_the_ranks_of_the_sign_test) {
    const struct {
        size_t n;
        double low, high;
    } rows[] = {{5, 1, 5}, {8, 2, 7}, {10, 2, 9}, {16, 5, 12}, {20, 6, 15}, {32, 11, 22}};
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        double v[64];
        for (size_t i = 0; i < rows[r].n; i++) {
            v[i] = (double)(rows[r].n - i);
        }
        const struct eh_estimate m = eh_velocity_median(v, rows[r].n, 0, 0.0);
        cr_assert_float_eq(m.low, rows[r].low, 1e-12, "n %zu: low %g", rows[r].n, m.low);
        cr_assert_float_eq(m.high, rows[r].high, 1e-12, "n %zu: high %g", rows[r].n, m.high);
        cr_assert_float_eq(m.value, 0.5 * (double)(rows[r].n + 1), 1e-12);
    }
}

/* Four values do not reach 90 % by any rank: 1 - 2/16 = 0.875. */
Test(order, four_values_give_no_interval) {
    double v[] = {1, 2, 3, 4};
    cr_assert(isnan(eh_velocity_median(v, 4, 0, 1.0).low));
}

/* The median of grouped data, L + (n/2 - F) / f * step, a formula of every textbook (from memory):
 * 10 values, 3 at 7, 5 at 8, 2 at 9: 7.5 + (5 - 3) / 5 = 7.9. */
Test(order, values_in_steps_give_the_median_of_grouped_data) {
    double v[] = {8, 7, 9, 8, 7, 8, 9, 8, 7, 8};
    cr_assert_float_eq(eh_velocity_median(v, 10, 0, 1.0).value, 7.9, 1e-12);
}

Test(order, unheard_taps_count_below_all_others) {
    double v[] = {11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22};
    const struct eh_estimate m = eh_velocity_median(v, 12, 4, 0.0);
    cr_assert_float_eq(m.value, 14.5, 1e-12, "of 16, four of them below: %g", m.value);
    cr_assert_float_eq(m.low, 11, 1e-12);
    cr_assert_float_eq(m.high, 18, 1e-12);
    cr_assert(isnan(eh_velocity_median(v, 4, 4, 0.0).value), "half of them unheard: not seen");
}

/* Uniform values above an edge: the interval covers it in 90 %, the value lies above it as often as
 * below. */
Test(order, the_edge_of_even_values_is_covered) {
    enum { RUNS = 4000, N = 24 };
    uint64_t state = 7;
    int covered = 0;
    int above = 0;
    for (int run = 0; run < RUNS; run++) {
        double v[N];
        for (int i = 0; i < N; i++) {
            v[i] = 5.0 + 20.0 * tapper_unit(&state);
        }
        eh_sort(v, N);
        const struct eh_estimate edge = eh_edge(v, N, 0.0);
        covered += edge.low <= 5.0 && 5.0 <= edge.high;
        above += edge.value > 5.0;
    }
    /* Binomial, four standard errors: 0.9 +- 0.019, 0.5 +- 0.032. */
    cr_assert_float_eq((double)covered / RUNS, 0.90, 0.019, "covered in %d of %d", covered, RUNS);
    cr_assert_float_eq((double)above / RUNS, 0.50, 0.032, "above in %d of %d", above, RUNS);
}
