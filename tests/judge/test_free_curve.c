/* The smooth tempo: what it follows and what it leaves to the judge. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>

#include "free.h"

static const double pi = 3.14159265358979323846;

/* Strokes on every 16th whose times swing by AMPLITUDE ms in waves of WAVE quarters, at 100. */
static struct free_pairs swinging(size_t count, double amplitude, double wave) {
    struct free_pairs pairs = {calloc(count, sizeof *pairs.pairs), count};
    for (size_t i = 0; i < count; i++) {
        const double at = (double)i / 4.0;
        pairs.pairs[i] = (struct free_pair){
            .at = at, .ms = 600.0 * at + amplitude * sin(2.0 * pi * at / wave), .in_time = true};
    }
    return pairs;
}

/* How much of such waves is in the map, far from its ends: the projection on the wave. */
static double followed(double wave, double bar) {
    enum { STROKES = 1600 };
    struct free_pairs pairs = swinging(STROKES, 4.0, wave);
    struct eh_tempo_map map;
    cr_assert_eq(free_curve_fit(&map, &pairs, 0, bar), EH_OK);
    double with = 0.0;
    double all = 0.0;
    for (size_t i = STROKES / 4; i < STROKES * 3 / 4; i++) {
        const double at = pairs.pairs[i].at;
        const eh_ticks tick = (eh_ticks)llround(at * (double)EH_TICKS_PER_QUARTER);
        const double ms = (double)eh_tempo_map_ns(&map, tick) / 1e6 - 600.0 * at;
        const double sine = sin(2.0 * pi * at / wave);
        with += ms * sine;
        all += 4.0 * sine * sine;
    }
    eh_tempo_map_deinit(&map);
    free(pairs.pairs);
    return with / all;
}

/* The gain of second-order Whittaker smoothing, 1 / (1 + lambda (2 sin(w / 2))^4) with one reading
 * a node (P. H. C. Eilers, "A perfect smoother", Anal. Chem. 75, 2003, 3631-3636; the penalty's
 * transfer function is that of second differences), lambda being such that it is a half at two
 * bars. The curve between nodes is straight, which costs up to 3 % where a wave has eight nodes. */
Test(free_curve, halves_a_wave_of_two_bars_and_has_the_gain_of_its_formula) {
    static const double waves[] = {4.0, 6.0, 8.0, 12.0, 16.0, 32.0};
    for (size_t i = 0; i < sizeof waves / sizeof waves[0]; i++) {
        const double half = pow(2.0 * sin(pi / 8.0), 4.0);
        const double gain = 1.0 / (1.0 + pow(2.0 * sin(pi / waves[i]), 4.0) / half);
        cr_expect_float_eq(followed(waves[i], 4.0), gain, 0.05, "wave of %.0f: %.3f, formula %.3f",
                           waves[i], followed(waves[i], 4.0), gain);
    }
    cr_expect_float_eq(followed(8.0, 4.0), 0.5, 0.05);
    cr_expect_float_eq(followed(6.0, 3.0), 0.5, 0.05, "two bars of 3/4");
}

Test(free_curve, takes_nothing_that_repeats_with_the_beat) {
    cr_expect_lt(fabs(followed(1.0, 4.0)), 0.01);
    cr_expect_lt(fabs(followed(2.0, 4.0)), 0.02);
    cr_expect_lt(fabs(followed(0.5, 4.0)), 0.01);
}

Test(free_curve, goes_exactly_along_an_even_row_and_is_not_moved_by_wild_strokes) {
    struct free_pairs pairs = swinging(64, 0.0, 4.0);
    pairs.pairs[20].ms += 70.0;
    pairs.pairs[45].ms -= 70.0;
    struct eh_tempo_map map;
    cr_assert_eq(free_curve_fit(&map, &pairs, 0, 4.0), EH_OK);
    for (eh_ticks at = 0; at < 16 * EH_TICKS_PER_QUARTER; at += EH_TICKS_PER_QUARTER) {
        const double ms = (double)eh_tempo_map_ns(&map, at) / 1e6;
        cr_expect_float_eq(ms, 600.0 * (double)at / (double)EH_TICKS_PER_QUARTER, 2.0);
    }
    eh_tempo_map_deinit(&map);
    free(pairs.pairs);
}

Test(free_curve, keeps_the_tempo_on_both_sides_of_a_halt) {
    struct free_pairs pairs = swinging(64, 0.0, 4.0);
    for (size_t i = 32; i < 64; i++) {
        pairs.pairs[i].ms += 2000.0;
    }
    pairs.pairs[32].halted = true;
    struct eh_tempo_map map;
    cr_assert_eq(free_curve_fit(&map, &pairs, 0, 4.0), EH_OK);
    const eh_ticks quarter = EH_TICKS_PER_QUARTER;
    cr_expect_float_eq((double)eh_tempo_map_ns_per_quarter(&map, 4 * quarter), 600e6, 1e6);
    cr_expect_float_eq((double)eh_tempo_map_ns_per_quarter(&map, 12 * quarter), 600e6, 1e6);
    cr_expect_float_eq((double)eh_tempo_map_ns(&map, 8 * quarter) / 1e6, 600.0 * 8.0 + 2000.0, 0.1);
    cr_expect_float_eq((double)eh_tempo_map_ns(&map, 31 * quarter / 4) / 1e6, 600.0 * 7.75, 0.1);
    eh_tempo_map_deinit(&map);
    free(pairs.pairs);
}

Test(free_curve, refuses_what_has_no_tempo) {
    struct free_pairs pairs = swinging(8, 0.0, 4.0);
    struct eh_tempo_map map;
    pairs.count = 1;
    cr_expect_eq(free_curve_fit(&map, &pairs, 0, 4.0), EH_NO_FIT);
    pairs.count = 2;
    pairs.pairs[1].ms = pairs.pairs[0].ms - 5.0;
    cr_expect_eq(free_curve_fit(&map, &pairs, 0, 4.0), EH_NO_FIT);
    free(pairs.pairs);
}
