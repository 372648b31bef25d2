/* The click as it was heard: the map made from uncertain times. */
#include <criterion/criterion.h>
#include <stdlib.h>

#include "support.h"

enum { QUARTER_NS = 500000000, CLICKS = 40 };
static const int64_t zero_ns = INT64_C(3000000000);

/* CLICKS quarter notes at 120, each DEVIATION(k) from its nominal time. */
static void make(struct eh_run_click *clicks, int64_t (*deviation)(int)) {
    for (int k = 0; k < CLICKS; k++) {
        clicks[k] =
            (struct eh_run_click){.at = k * EH_TICKS_PER_QUARTER,
                                  .at_ns = zero_ns + k * (int64_t)QUARTER_NS + deviation(k)};
    }
}

static struct eh_tempo_map map_of(const struct eh_run_click *clicks, size_t n, bool exact) {
    struct eh_tempo_map map;
    cr_assert_eq(eh_click_map_from_times(&map, clicks, n, zero_ns, QUARTER_NS, exact), EH_OK);
    return map;
}

/* How far the map puts click K from its nominal time. */
static int64_t deviation_at(const struct eh_tempo_map *map, int k) {
    return eh_tempo_map_ns(map, k * EH_TICKS_PER_QUARTER) - zero_ns - k * (int64_t)QUARTER_NS;
}

static int64_t none(int k) {
    (void)k;
    return 0;
}

/* Two clicks in a row reported 4 ms late, once in the middle and once at each end. */
static int64_t bad_pairs(int k) {
    return k == 20 || k == 21 || k == 0 || k == 1 || k >= CLICKS - 2 ? 4 * EH_NS_PER_MS : 0;
}

/* An underflow before click 17: everything later sounds 21 ms later. */
static int64_t jump(int k) {
    return k < 17 ? 0 : 21 * EH_NS_PER_MS;
}

static int64_t jump_back(int k) {
    return k < 17 ? 0 : -50 * EH_NS_PER_MS;
}

/* The two clocks drift apart by 100 millionths. */
static int64_t drift(int k) {
    return k * (int64_t)QUARTER_NS / 10000;
}

static int64_t late(int k) {
    (void)k;
    return 7 * EH_NS_PER_MS;
}

Test(history_click_map, without_clicks_the_map_is_nominal) {
    struct eh_tempo_map map = map_of(NULL, 0, false);
    cr_assert_eq(map.count, 1);
    cr_assert_eq(deviation_at(&map, -9), 0);
    cr_assert_eq(deviation_at(&map, 1000), 0);
    eh_tempo_map_deinit(&map);
}

Test(history_click_map, clicks_in_time_give_the_nominal_map_and_late_ones_move_all_of_it) {
    struct eh_run_click clicks[CLICKS];
    int64_t (*const cases[])(int) = {none, late};
    for (size_t i = 0; i < 2; i++) {
        make(clicks, cases[i]);
        for (size_t n = 1; n <= CLICKS; n += 3) {
            struct eh_tempo_map map = map_of(clicks, n, false);
            for (int k = -20; k < CLICKS + 20; k++) {
                cr_assert_eq(deviation_at(&map, k), cases[i](k), "%zu clicks, at %d", n, k);
            }
            eh_tempo_map_deinit(&map);
        }
    }
}

/* The median of an even number is the mean of the two in the middle (common practice, no source).
 */
Test(history_click_map, an_even_window_takes_the_mean_of_the_two_in_the_middle) {
    struct eh_run_click clicks[CLICKS];
    make(clicks, none);
    clicks[1].at_ns += 6 * EH_NS_PER_MS;
    struct eh_tempo_map map = map_of(clicks, 2, false);
    cr_expect_eq(deviation_at(&map, 0), 3 * EH_NS_PER_MS);
    cr_expect_eq(deviation_at(&map, 1), 3 * EH_NS_PER_MS);
    eh_tempo_map_deinit(&map);
}

Test(history_click_map, two_bad_times_in_a_row_move_nothing) {
    struct eh_run_click clicks[CLICKS];
    make(clicks, bad_pairs);
    struct eh_tempo_map map = map_of(clicks, CLICKS, false);
    for (int k = -5; k < CLICKS + 5; k++) {
        cr_assert_eq(deviation_at(&map, k), 0, "at %d", k);
    }
    eh_tempo_map_deinit(&map);
}

Test(history_click_map, a_jump_stays_a_jump_between_the_clicks_where_it_happened) {
    struct eh_run_click clicks[CLICKS];
    int64_t (*const cases[])(int) = {jump, jump_back};
    for (size_t i = 0; i < 2; i++) {
        make(clicks, cases[i]);
        struct eh_tempo_map map = map_of(clicks, CLICKS, false);
        for (int k = -5; k < CLICKS + 5; k++) {
            cr_assert_eq(deviation_at(&map, k), cases[i](k), "at %d", k);
        }
        cr_assert_eq(eh_tempo_map_ns(&map, 16 * EH_TICKS_PER_QUARTER + EH_TICKS_PER_QUARTER / 2) -
                         zero_ns - 16 * (int64_t)QUARTER_NS - QUARTER_NS / 2,
                     cases[i](17) / 2, "half-way between the two, half of it");
        eh_tempo_map_deinit(&map);
    }
}

Test(history_click_map, slow_drift_between_the_clocks_is_followed) {
    struct eh_run_click clicks[CLICKS];
    make(clicks, drift);
    struct eh_tempo_map map = map_of(clicks, CLICKS, false);
    for (int k = 2; k < CLICKS - 2; k++) {
        cr_assert_eq(deviation_at(&map, k), drift(k), "at %d", k);
    }
    cr_assert_eq(deviation_at(&map, 0), drift(2), "the ends take their window's median");
    cr_assert_eq(deviation_at(&map, CLICKS - 1), drift(CLICKS - 3));
    eh_tempo_map_deinit(&map);
}

/* Jitter as an audio callback has it: up to half a millisecond, one in ten 1 to 4 ms late. */
Test(history_click_map, jitter_leaves_the_map_nearer_to_the_sound_than_the_times_are) {
    enum { MANY = 2000 };
    uint64_t state = 4711;
    struct eh_run_click *clicks = calloc(MANY, sizeof *clicks);
    double raw = 0;
    for (int k = 0; k < MANY; k++) {
        int64_t noise = (int64_t)(random_next(&state) % 1000001) - 500000;
        if (random_next(&state) % 10 == 0) {
            noise = (int64_t)(random_next(&state) % 3000000) + 1000000;
        }
        clicks[k].at = k * EH_TICKS_PER_QUARTER;
        clicks[k].at_ns = zero_ns + k * (int64_t)QUARTER_NS + noise;
        raw += (double)noise * (double)noise;
    }
    struct eh_tempo_map map = map_of(clicks, MANY, false);
    double smooth = 0;
    for (int k = 0; k < MANY; k++) {
        const double error = (double)deviation_at(&map, k);
        smooth += error * error;
        cr_assert(error > -501000 && error < 4001000);
    }
    cr_assert_lt(smooth, raw / 9, "at least three times nearer: %g against %g", smooth, raw);
    eh_tempo_map_deinit(&map);
    free(clicks);
}

Test(history_click_map, a_files_tempo_map_is_kept_exactly) {
    struct eh_run_click clicks[] = {{0, 3000000000},
                                    {20160, 3600000000},
                                    {40320, 3900000000},
                                    {60480, 4700000000},
                                    {70000, 4800000001}};
    struct eh_tempo_map map = map_of(clicks, 5, true);
    for (size_t i = 0; i < 5; i++) {
        cr_assert_eq(eh_tempo_map_ns(&map, clicks[i].at), clicks[i].at_ns);
    }
    cr_assert_eq(eh_tempo_map_ns(&map, 10080), 3300000000);
    cr_assert_eq(eh_tempo_map_ns(&map, 70000 + 20160), 4800000001 + QUARTER_NS);
    eh_tempo_map_deinit(&map);
}

Test(history_click_map, clicks_that_do_not_rise_are_left_out) {
    const struct eh_run_click clicks[] = {
        {0, 3000000000},     {0, 3400000000}, {-20160, 3300000000}, {20160, 3000000000},
        {40320, 4000000000}, {INT64_MAX, 0},  {60480, INT64_MIN},   {80640, 5000000000}};
    struct eh_tempo_map map = map_of(clicks, 8, true);
    cr_assert_eq(map.count, 4, "%zu: a quarter before, and the first, third and fourth beat",
                 map.count);
    cr_assert_eq(eh_tempo_map_ns(&map, 40320), 4000000000);
    cr_assert_eq(eh_tempo_map_ns(&map, 80640), 5000000000);
    for (size_t i = 1; i < map.count; i++) {
        cr_assert_gt(map.segments[i].at, map.segments[i - 1].at);
        cr_assert_gt(map.segments[i].at_ns, map.segments[i - 1].at_ns);
    }
    eh_tempo_map_deinit(&map);
}

Test(history_click_map, any_row_of_clicks_gives_a_rising_map) {
    uint64_t state = 99;
    for (int round = 0; round < 2000; round++) {
        struct eh_run_click clicks[24];
        const size_t n = random_next(&state) % 24;
        const int shift = (int)(random_next(&state) % 60);
        for (size_t k = 0; k < n; k++) {
            clicks[k].at = (int64_t)random_next(&state) >> shift;
            clicks[k].at_ns = (int64_t)random_next(&state) >> (random_next(&state) % 40);
            if (round % 2 == 0) {
                clicks[k].at = (eh_ticks)k * 20160 + (clicks[k].at & 0xffff);
                clicks[k].at_ns = (int64_t)k * QUARTER_NS + (clicks[k].at_ns & 0x3fffffff);
            }
        }
        struct eh_tempo_map map = map_of(clicks, n, round % 3 == 0);
        cr_assert_geq(map.count, 1);
        for (size_t i = 0; i < map.count; i++) {
            cr_assert_gt(map.segments[i].ns_per_quarter, 0);
            cr_assert(i == 0 || (map.segments[i].at > map.segments[i - 1].at &&
                                 map.segments[i].at_ns > map.segments[i - 1].at_ns));
        }
        eh_tempo_map_deinit(&map);
    }
}

Test(history_click_map, a_tempo_or_a_time_without_meaning_is_refused) {
    struct eh_tempo_map map;
    const int64_t minute = 60 * EH_NS_PER_S;
    const struct {
        int64_t zero, quarter;
        enum eh_status status;
    } cases[] = {{0, 999, EH_OUT_OF_RANGE},
                 {0, 1000, EH_OK},
                 {0, minute, EH_OK},
                 {0, minute + 1, EH_OUT_OF_RANGE},
                 {0, -1, EH_OUT_OF_RANGE},
                 {INT64_MIN, 1000, EH_OUT_OF_RANGE},
                 {INT64_C(1) << 61, 1000, EH_OK},
                 {(INT64_C(1) << 61) + 1, 1000, EH_OUT_OF_RANGE}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cr_assert_eq(eh_click_map_from_times(&map, NULL, 0, cases[i].zero, cases[i].quarter, false),
                     cases[i].status, "case %zu", i);
        eh_tempo_map_deinit(&map);
    }
}
