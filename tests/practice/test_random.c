#include <criterion/criterion.h>
#include <math.h>

#include "random.h"

/* Reference: math.randomseed(42, 7); math.random(0) of Lua 5.4.4 (Debian 12), whose generator is
 * xoshiro256** with the state {seed, 0xff, second seed, 0} and 16 values thrown away
 * (lmathlib.c, setseed). */
Test(random, the_generator_agrees_with_the_one_in_lua_5_4) {
    struct eh_random random = {{42, 0xff, 7, 0}};
    static const uint64_t expected[] = {UINT64_C(0xd4f84e156cc64a30), UINT64_C(0xf8de1b01c2c419c3),
                                        UINT64_C(0x2b39193acf50b859), UINT64_C(0xd120fc2e20d92e0f)};
    for (int i = 0; i < 16; i++) {
        (void)eh_random_next(&random);
    }
    for (int i = 0; i < 4; i++) {
        cr_expect_eq(eh_random_next(&random), expected[i], "number %d", i);
    }
}

Test(random, the_deviates_have_mean_0_and_deviation_1) {
    enum { N = 20000 };
    struct eh_random random;
    eh_random_seed(&random, 1, 0);
    double sum = 0;
    double squares = 0;
    for (int i = 0; i < N; i++) {
        const double x = eh_random_normal(&random);
        sum += x;
        squares += x * x;
    }
    /* Four standard errors of a mean (1/sqrt n) and of a variance (sqrt(2/n)). */
    cr_expect_lt(fabs(sum / N), 4.0 / sqrt(N));
    cr_expect_lt(fabs(squares / N - 1.0), 4.0 * sqrt(2.0 / N));
}

Test(random, streams_of_one_seed_and_seeds_of_one_stream_differ) {
    struct eh_random a;
    struct eh_random b;
    for (uint64_t i = 1; i < 50; i++) {
        eh_random_seed(&a, 7, 0);
        eh_random_seed(&b, 7, i);
        cr_expect_neq(eh_random_next(&a), eh_random_next(&b), "stream %d", (int)i);
        eh_random_seed(&a, 7, 3);
        eh_random_seed(&b, 7 + i, 3);
        cr_expect_neq(eh_random_next(&a), eh_random_next(&b), "seed %d", (int)(7 + i));
    }
}

/* Reference: exp() and pow() of the C library. */
Test(random, the_exponential_is_that_of_the_c_library) {
    for (double x = -40; x <= 40; x += 0.37) {
        cr_expect_lt(fabs(eh_exp_exact(x) / exp(x) - 1.0), 1e-12, "exp(%g)", x);
    }
    for (double db = -60; db <= 20; db += 0.7) {
        cr_expect_lt(fabs(eh_db_ratio(db) / pow(10, db / 20) - 1.0), 1e-12, "%g dB", db);
    }
}
