/* Isotonic regression against what others say it is. */
#include <criterion/criterion.h>
#include <math.h>

#include "tapper.h"

enum { MOST = 40 };

/* The example of R's own manual page, stats::isoreg (R 4.2): isoreg(c(1,0,4,3,3,5,4,2,0)) gives yf
 * = 0.5 0.5 3 3 3 3 3 3 3. */
Test(isotonic, gives_what_the_manual_of_isoreg_prints) {
    double y[] = {1, 0, 4, 3, 3, 5, 4, 2, 0};
    double weights[] = {1, 1, 1, 1, 1, 1, 1, 1, 1};
    size_t blocks[9];
    const double expected[] = {0.5, 0.5, 3, 3, 3, 3, 3, 3, 3};
    cr_assert_eq(eh_isotonic(y, weights, 9, blocks), 2);
    cr_assert_eq(blocks[0], 2);
    cr_assert_eq(blocks[1], 7);
    for (int i = 0; i < 9; i++) {
        cr_assert_float_eq(y[i], expected[i], 1e-12, "value %d is %g", i, y[i]);
    }
}

static double average(const double *y, const double *w, size_t from, size_t to) {
    double sum = 0;
    double weight = 0;
    for (size_t i = from; i <= to; i++) {
        sum += w[i] * y[i];
        weight += w[i];
    }
    return sum / weight;
}

/* The max-min formula: the greatest, over where a block may begin, of the smallest, over where it
 * may end, of its averages. Barlow, Bartholomew, Bremner & Brunk 1972, theorem 1.4. */
static double max_min(const double *y, const double *w, size_t n, size_t at) {
    double most = -HUGE_VAL;
    for (size_t from = 0; from <= at; from++) {
        double least = HUGE_VAL;
        for (size_t to = at; to < n; to++) {
            least = fmin(least, average(y, w, from, to));
        }
        most = fmax(most, least);
    }
    return most;
}

Test(isotonic, agrees_with_the_max_min_formula_on_random_rows) {
    uint64_t state = 1;
    for (int run = 0; run < 2000; run++) {
        double y[MOST];
        double kept[MOST];
        double w[MOST];
        double weights[MOST];
        size_t blocks[MOST];
        const size_t n = 1 + (size_t)(tapper_unit(&state) * MOST);
        for (size_t i = 0; i < n; i++) {
            /* Whole numbers now and then, so that there are ties. */
            y[i] = 0.1 * (double)i + tapper_normal(&state);
            y[i] = run % 3 == 0 ? round(y[i]) : y[i];
            kept[i] = y[i];
            w[i] = weights[i] = 0.1 + 3.0 * tapper_unit(&state);
        }
        const size_t count = eh_isotonic(y, weights, n, blocks);
        size_t pooled = 0;
        for (size_t b = 0; b < count; b++) {
            pooled += blocks[b];
        }
        cr_assert_eq(pooled, n);
        for (size_t i = 0; i < n; i++) {
            cr_assert_float_eq(y[i], max_min(kept, w, n, i), 1e-9, "run %d, value %zu of %zu", run,
                               i, n);
        }
    }
}

Test(isotonic, leaves_a_rising_row_alone) {
    double y[] = {-3, -3, 0, 2.5};
    double weights[] = {1, 2, 3, 4};
    size_t blocks[4];
    cr_assert_eq(eh_isotonic(y, weights, 4, blocks), 4);
    cr_assert_eq(y[0], -3);
    cr_assert_eq(y[3], 2.5);
    cr_assert_eq(eh_isotonic(y, weights, 0, blocks), 0);
}
