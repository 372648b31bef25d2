/* Musical time to clock time and back. */
#include <criterion/criterion.h>
#include <inttypes.h>
#include <math.h>

#include "evenhand/time.h"

static const eh_ticks quarter = EH_TICKS_PER_QUARTER;

static struct eh_tempo_map map_of(eh_ticks at, int64_t at_ns, int64_t ns_per_quarter) {
    struct eh_tempo_map map;
    cr_assert_eq(eh_tempo_map_init(&map, at, at_ns, ns_per_quarter), EH_OK);
    return map;
}

/* A repeatable stream of numbers (xorshift64, Marsaglia 2003). */
static uint64_t next_random(uint64_t *state) {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

static int64_t between(uint64_t *state, int64_t low, int64_t high) {
    return low + (int64_t)(next_random(state) % (uint64_t)(high - low + 1));
}

/* Pulses (to the 256th), triplets, quintuplets and septuplets with their halves, and triplets
 * within them: all whole numbers of ticks. Arithmetic. */
Test(tempo, a_quarter_divides_into_every_tuplet_that_the_exercises_may_hold) {
    static const int parts[] = {1,  2,  3,  4,  5,  6,  7,  8,  9,  10, 12, 14, 15, 16, 18,
                                20, 21, 24, 28, 30, 32, 35, 36, 40, 42, 45, 48, 56, 60, 64};
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        cr_expect_eq(quarter % parts[i], 0, "%d to the quarter", parts[i]);
    }
}

/* The length of a quarter note is 60 s over the tempo, by definition of beats a minute. Strokes:
 * 16ths at 120 are 125 ms apart, 32nds at 120 62.5 ms, sextuplets at 100 are 100 ms apart. */
Test(tempo, places_strokes_where_the_metronome_mark_says) {
    static const struct {
        double bpm;
        int64_t quarter_ns;
        eh_ticks at;
        int64_t at_ns;
    } rows[] = {
        {60, 1000000000, 20160, 1000000000}, {120, 500000000, 5040, 125000000},
        {120, 500000000, 2520, 62500000},    {100, 600000000, 3360, 100000000},
        {88, 681818182, 20160, 681818182},   {20, 3000000000, 20160, 3000000000},
        {400, 150000000, 20160, 150000000},  {140, 428571429, 5040, 107142857},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        cr_expect_eq(eh_ns_per_quarter(rows[i].bpm), rows[i].quarter_ns, "%g", rows[i].bpm);
        struct eh_tempo_map map = map_of(0, 0, rows[i].quarter_ns);
        cr_expect_eq(eh_tempo_map_ns(&map, rows[i].at), rows[i].at_ns, "%g", rows[i].bpm);
        cr_expect_eq(eh_tempo_map_tick(&map, rows[i].at_ns), rows[i].at, "%g", rows[i].bpm);
        cr_expect_float_eq(eh_bpm(rows[i].quarter_ns), rows[i].bpm, 1e-6);
        eh_tempo_map_deinit(&map);
    }
}

Test(tempo, rounds_to_the_nearest_nanosecond_on_both_sides_of_zero) {
    struct eh_tempo_map map = map_of(0, 0, 3 * quarter / 2); /* a tick of 1.5 ns */
    static const int64_t expected[] = {-5, -3, -2, 0, 2, 3, 5};
    for (int i = -3; i <= 3; i++) {
        cr_expect_eq(eh_tempo_map_ns(&map, i), expected[i + 3], "tick %d", i);
    }
    eh_tempo_map_deinit(&map);
}

/* 88 to the minute is no whole number of nanoseconds a quarter nor ticks; two days of it must not
 * drift by a single nanosecond from n quarters' worth. */
Test(tempo, does_not_drift_over_two_days) {
    struct eh_tempo_map map = map_of(0, 0, 681818182);
    for (int64_t n = 1; n < 253440; n += 997) {
        cr_expect_eq(eh_tempo_map_ns(&map, n * quarter), n * 681818182);
        cr_expect_eq(eh_tempo_map_ns(&map, -n * quarter), -n * 681818182);
    }
    eh_tempo_map_deinit(&map);
}

/* The same sums in 128 bits, done once instead of in parts. */
static int64_t exact_ns(const struct eh_tempo_segment *s, eh_ticks at) {
    __extension__ typedef __int128 wide;
    const wide product = (wide)(at - s->at) * s->ns_per_quarter;
    const wide half = product >= 0 ? EH_TICKS_PER_QUARTER / 2 : -(EH_TICKS_PER_QUARTER / 2);
    return s->at_ns + (int64_t)((product + half) / EH_TICKS_PER_QUARTER);
}

static struct eh_tempo_map long_map(uint64_t *state, size_t segments) {
    const eh_ticks begin = between(state, -1000000, 1000000);
    struct eh_tempo_map map =
        map_of(begin, between(state, -EH_NS_PER_S, 1000 * EH_NS_PER_S), EH_NS_PER_S);
    eh_ticks at = begin;
    for (size_t i = 1; i < segments; i++) {
        at += between(state, 1, 40 * quarter);
        cr_assert_eq(eh_tempo_map_change(&map, at, between(state, 20160, 3 * EH_NS_PER_S)), EH_OK);
    }
    cr_assert_eq(map.count, segments);
    return map;
}

Test(tempo, goes_there_and_back_exactly_through_a_thousand_changes) {
    uint64_t state = 42;
    struct eh_tempo_map map = long_map(&state, 1000);
    const eh_ticks begin = map.segments[0].at;
    const eh_ticks end = map.segments[map.count - 1].at;
    int64_t last_ns = INT64_MIN;
    eh_ticks at = begin - 100 * quarter;
    for (size_t i = 0; at < end + 100 * quarter; i++) {
        const int64_t at_ns = eh_tempo_map_ns(&map, at);
        cr_assert_gt(at_ns, last_ns, "tick %" PRId64, at);
        cr_assert_eq(eh_tempo_map_tick(&map, at_ns), at, "tick %" PRId64, at);
        last_ns = at_ns;
        at += between(&state, 1, 2 * quarter);
    }
    for (size_t i = 0; i < map.count; i++) {
        const struct eh_tempo_segment *s = &map.segments[i];
        for (eh_ticks d = -1; d <= 1; d++) {
            cr_assert_eq(eh_tempo_map_tick(&map, eh_tempo_map_ns(&map, s->at + d)), s->at + d);
        }
        cr_assert_eq(eh_tempo_map_ns_per_quarter(&map, s->at), s->ns_per_quarter);
    }
    eh_tempo_map_deinit(&map);
}

Test(tempo, agrees_with_the_sum_taken_in_128_bits) {
    uint64_t state = 7;
    for (int i = 0; i < 20000; i++) {
        struct eh_tempo_segment s = {
            .at = between(&state, -100000000, 100000000),
            .at_ns = between(&state, -EH_NS_PER_S, 2000000000 * EH_NS_PER_S),
            .ns_per_quarter = between(&state, 1, 3600 * EH_NS_PER_S),
        };
        struct eh_tempo_map map = {.segments = &s, .count = 1};
        const eh_ticks at = s.at + between(&state, -1000000, 1000000);
        cr_assert_eq(eh_tempo_map_ns(&map, at), exact_ns(&s, at));
    }
}

Test(tempo, carries_the_first_tempo_backwards_and_the_last_one_forwards) {
    struct eh_tempo_map map = map_of(0, 5 * EH_NS_PER_S, 500000000);
    cr_assert_eq(eh_tempo_map_change(&map, 4 * quarter, 250000000), EH_OK);
    cr_expect_eq(eh_tempo_map_ns(&map, -4 * quarter), 3 * EH_NS_PER_S);
    cr_expect_eq(eh_tempo_map_ns(&map, 4 * quarter), 7 * EH_NS_PER_S);
    cr_expect_eq(eh_tempo_map_ns(&map, 8 * quarter), 8 * EH_NS_PER_S);
    cr_expect_eq(eh_tempo_map_tick(&map, 3 * EH_NS_PER_S), -4 * quarter);
    cr_expect_eq(eh_tempo_map_tick(&map, 8 * EH_NS_PER_S), 8 * quarter);
    cr_expect_eq(eh_tempo_map_ns_per_quarter(&map, -1), 500000000);
    cr_expect_eq(eh_tempo_map_ns_per_quarter(&map, 4 * quarter - 1), 500000000);
    cr_expect_eq(eh_tempo_map_ns_per_quarter(&map, 4 * quarter), 250000000);
    eh_tempo_map_deinit(&map);
}

Test(tempo, a_click_measured_beat_by_beat_keeps_each_measured_time) {
    struct eh_tempo_map map = map_of(0, 0, 500000000);
    cr_assert_eq(eh_tempo_map_append(&map, quarter, 500000700, 500000000), EH_OK);
    cr_assert_eq(eh_tempo_map_append(&map, 2 * quarter, 999999100, 500000000), EH_OK);
    cr_expect_eq(eh_tempo_map_ns(&map, quarter), 500000700);
    cr_expect_eq(eh_tempo_map_ns(&map, 2 * quarter), 999999100);
    cr_expect_eq(eh_tempo_map_tick(&map, 999999100), 2 * quarter);
    eh_tempo_map_deinit(&map);
}

Test(tempo, a_tempo_at_the_same_place_replaces_the_one_before) {
    struct eh_tempo_map map = map_of(0, 0, 500000000);
    cr_assert_eq(eh_tempo_map_change(&map, quarter, 400000000), EH_OK);
    cr_assert_eq(eh_tempo_map_change(&map, quarter, 300000000), EH_OK);
    cr_expect_eq(map.count, 2);
    cr_expect_eq(eh_tempo_map_ns(&map, 2 * quarter), 800000000);
    eh_tempo_map_deinit(&map);
}

Test(tempo, refuses_what_would_run_backwards_stand_still_or_leave_64_bits) {
    static const int64_t far = INT64_C(1) << 61;
    static const struct {
        eh_ticks at;
        int64_t at_ns;
        int64_t ns_per_quarter;
        enum eh_status expected;
    } rows[] = {
        {20160, 500000000, 0, EH_OUT_OF_RANGE},
        {20160, 500000000, -1, EH_OUT_OF_RANGE},
        {20160, 500000000, 3600 * EH_NS_PER_S + 1, EH_OUT_OF_RANGE},
        {20160, 0, 500000000, EH_OUT_OF_RANGE},
        {0, 1, 500000000, EH_OUT_OF_RANGE},
        {-1, 500000000, 500000000, EH_OUT_OF_RANGE},
        {20160, -1, 500000000, EH_OUT_OF_RANGE},
        {far + 1, 500000000, 500000000, EH_OUT_OF_RANGE},
        {20160, far + 1, 500000000, EH_OUT_OF_RANGE},
        {1, 1, 1, EH_OK},
        {20160, 500000000, 3600 * EH_NS_PER_S, EH_OK},
        {far, far, 500000000, EH_OK},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct eh_tempo_map map = map_of(0, 0, 500000000);
        cr_expect_eq(eh_tempo_map_append(&map, rows[i].at, rows[i].at_ns, rows[i].ns_per_quarter),
                     rows[i].expected, "row %zu", i);
        cr_expect_eq(map.count, rows[i].expected == EH_OK ? 2 : 1, "row %zu", i);
        eh_tempo_map_deinit(&map);
    }
}

Test(tempo, stays_in_order_at_the_ends_of_64_bits) {
    static const int64_t places[] = {INT64_MIN, INT64_MIN + 1, -(INT64_C(1) << 62), -1000000000000,
                                     0,         1000000000000, INT64_C(1) << 62,    INT64_MAX - 1,
                                     INT64_MAX};
    static const int64_t tempos[] = {1, 20160, 500000000, 3600 * EH_NS_PER_S};
    static const int64_t begins[] = {-(INT64_C(1) << 61), 0, INT64_C(1) << 61};
    for (size_t t = 0; t < 12; t++) {
        const int64_t begin = begins[t / 4];
        struct eh_tempo_map map = map_of(begin, begin, tempos[t % 4]);
        for (size_t i = 1; i < sizeof places / sizeof *places; i++) {
            cr_expect_geq(eh_tempo_map_ns(&map, places[i]), eh_tempo_map_ns(&map, places[i - 1]));
            cr_expect_geq(eh_tempo_map_tick(&map, places[i]),
                          eh_tempo_map_tick(&map, places[i - 1]));
        }
        eh_tempo_map_deinit(&map);
    }
    cr_expect_gt(eh_ns_per_quarter(1e-300), 3600 * EH_NS_PER_S);
}

Test(tempo, a_copy_is_equal_and_its_own) {
    uint64_t state = 3;
    struct eh_tempo_map map = long_map(&state, 100);
    struct eh_tempo_map copy;
    cr_assert_eq(eh_tempo_map_copy(&copy, &map), EH_OK);
    cr_assert_neq(copy.segments, map.segments);
    cr_assert_eq(copy.count, map.count);
    for (size_t i = 0; i < map.count; i++) {
        cr_expect_eq(copy.segments[i].at, map.segments[i].at);
        cr_expect_eq(copy.segments[i].at_ns, map.segments[i].at_ns);
        cr_expect_eq(copy.segments[i].ns_per_quarter, map.segments[i].ns_per_quarter);
    }
    eh_tempo_map_deinit(&map);
    eh_tempo_map_deinit(&copy);
    eh_tempo_map_deinit(&copy);
}
