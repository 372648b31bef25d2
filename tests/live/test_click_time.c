#include <criterion/criterion.h>
#include <inttypes.h>
#include <math.h>
#include <stdlib.h>

#include "click_time.h"

enum { BLOCK = 480, RATE = 48000 };

/* A fixed row of numbers 0 .. 1. */
static double noise(uint32_t *state) {
    *state = *state * 1664525u + 1013904223u;
    return (double)(*state >> 8) / (1 << 24);
}

/* Wake-up delays as measured on an ordinary kernel: mostly 0.05 to 0.2 ms, now and then some ms. */
static int64_t wake_up_ns(uint32_t *state) {
    const double often = 50e3 + 150e3 * noise(state);
    return (int64_t)(noise(state) < 0.02 ? 3e6 * noise(state) : often);
}

/* Feeds SECONDS of readings from a card whose clock is off by DRIFT; the worst error of the last
 * half of predictions made at each reading. */
static double worst_error_ns(struct eh_click_time *time, double drift, double seconds,
                             int64_t *frame, double *true_ns) {
    uint32_t state = 7;
    const int steps = (int)(seconds * RATE / BLOCK);
    double worst = 0;
    for (int i = 0; i < steps; i++) {
        eh_click_time_read(time, *frame, (int64_t)*true_ns + wake_up_ns(&state), false);
        const double error = (double)eh_click_time_at(time, *frame) - *true_ns;
        if (i > steps / 2 && fabs(error) > worst) {
            worst = fabs(error);
        }
        *frame += BLOCK;
        *true_ns += BLOCK * 1e9 / RATE * (1 + drift);
    }
    return worst;
}

Test(click_time, follows_the_card_through_jitter_and_drift) {
    static const double drifts[] = {0, 20e-6, -20e-6, 100e-6, -100e-6};
    for (size_t i = 0; i < sizeof drifts / sizeof *drifts; i++) {
        struct eh_click_time time;
        int64_t frame = 1000;
        double true_ns = 5e12;
        eh_click_time_init(&time, RATE);
        const double worst = worst_error_ns(&time, drifts[i], 40, &frame, &true_ns);
        /* Single readings are up to 3 ms late. */
        cr_assert(worst < 0.18e6, "drift %g: %g ns", drifts[i], worst);
    }
}

Test(click_time, is_right_from_the_first_blocks_on) {
    struct eh_click_time time;
    uint32_t state = 3;
    eh_click_time_init(&time, RATE);
    for (int64_t i = 0; i < 100; i++) {
        /* The very first wake-up is late by 4 ms. */
        const int64_t late_ns = i == 0 ? 4000000 : wake_up_ns(&state);
        eh_click_time_read(&time, i * BLOCK, i * 10000000 + late_ns, false);
        const double error = (double)(eh_click_time_at(&time, i * BLOCK) - i * 10000000);
        cr_assert(i < 10 || fabs(error) < 0.3e6, "block %" PRId64 ": %g", i, error);
    }
}

Test(click_time, a_gap_told_or_seen_moves_all_later_times) {
    for (int told = 0; told <= 1; told++) {
        struct eh_click_time time;
        int64_t frame = 0;
        double true_ns = 1e12;
        int anew = 0;
        uint32_t state = 9;
        eh_click_time_init(&time, RATE);
        worst_error_ns(&time, 0, 5, &frame, &true_ns);
        true_ns += 20e6; /* two blocks lost */
        for (int i = 0; i < 100; i++, frame += BLOCK, true_ns += 1e7) {
            anew += eh_click_time_read(&time, frame, (int64_t)true_ns + wake_up_ns(&state),
                                       told && i == 0);
            const double error = (double)eh_click_time_at(&time, frame) - true_ns;
            cr_assert(i < 20 || fabs(error) < 0.3e6, "told %d, block %d: %g", told, i, error);
        }
        cr_assert_eq(anew, 1, "told %d: %d", told, anew);
    }
}

Test(click_time, one_late_wake_up_is_no_gap) {
    struct eh_click_time time;
    eh_click_time_init(&time, RATE);
    for (int64_t i = 0; i < 400; i++) {
        const int64_t late_ns = i % 100 < 5 ? 30000000 : 100000; /* five in a row, 30 ms */
        cr_assert_not(eh_click_time_read(&time, i * BLOCK, i * 10000000 + late_ns, false) &&
                      i > 12);
    }
    cr_assert(llabs(eh_click_time_at(&time, 400 * BLOCK) - INT64_C(4000000000)) < 500000);
}
