/* Rows of hits and the bars of their click. */
#include <criterion/criterion.h>
#include <limits.h>
#include <string.h>

#include "evenhand/hit.h"

static struct eh_hit hit_at(int64_t at_ns, uint8_t note) {
    return (struct eh_hit){.at_ns = at_ns, .velocity = 64 * EH_VELOCITY_UNIT, .note = note};
}

static void metre(struct eh_take *take, eh_ticks at, uint8_t beats, uint8_t unit) {
    cr_assert_eq(
        eh_take_add_metre(take, (struct eh_metre_change){.at = at, .beats = beats, .unit = unit}),
        EH_OK);
}

Test(take, an_all_zero_take_is_empty_and_can_be_thrown_away) {
    struct eh_take take = {0};
    eh_take_deinit(&take);
    cr_expect_eq(take.count, 0);
}

Test(take, begins_with_one_tempo_one_metre_and_no_hit) {
    struct eh_take take;
    const struct eh_metre_change six_eight = {.at = -60480, .beats = 6, .unit = 8};
    cr_assert_eq(eh_take_init(&take, "a take", six_eight, 7, 500000000), EH_OK);
    cr_expect_str_eq(take.source, "a take");
    cr_expect_eq(take.count, 0);
    cr_expect_eq(take.resolution_ns, 1);
    cr_expect_eq(eh_tempo_map_ns(&take.click, 0), 1500000007);
    cr_expect_eq(eh_take_metre(&take, 0).beats, 6);
    eh_take_deinit(&take);
}

Test(take, refuses_a_metre_or_tempo_that_cannot_be) {
    static const struct {
        eh_ticks at;
        uint8_t beats;
        uint8_t unit;
        int64_t quarter_ns;
    } rows[] = {{0, 0, 4, 1000}, {0, 4, 0, 1000}, {0, 4, 3, 1000}, {0, 4, 4, 0}, {1, 4, 4, 1000}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct eh_take take;
        const struct eh_metre_change m = {rows[i].at, rows[i].beats, rows[i].unit};
        cr_expect_eq(eh_take_init(&take, "", m, 0, rows[i].quarter_ns), EH_OUT_OF_RANGE, "%zu", i);
        cr_expect_eq(take.metres, NULL);
        cr_expect_eq(take.click.segments, NULL);
    }
}

Test(take, puts_a_late_arrival_in_its_place_and_keeps_the_order_of_equal_times) {
    static const struct {
        int64_t at_ns;
        uint8_t note;
    } arrivals[] = {{30, 1}, {10, 2}, {20, 3}, {20, 4}, {30, 5}, {5, 6}, {20, 7}, {40, 8}};
    static const uint8_t expected[] = {6, 2, 3, 4, 7, 1, 5, 8};
    struct eh_take take = {0};
    for (size_t i = 0; i < 8; i++) {
        const struct eh_hit hit = hit_at(arrivals[i].at_ns, arrivals[i].note);
        cr_assert_eq(eh_take_add(&take, &hit), EH_OK);
    }
    cr_assert_eq(take.count, 8);
    for (size_t i = 0; i < 8; i++) {
        cr_expect_eq(take.hits[i].note, expected[i], "place %zu", i);
    }
    eh_take_deinit(&take);
}

Test(take, can_be_given_one_of_its_own_hits_while_it_grows) {
    struct eh_take take = {0};
    const struct eh_hit first = hit_at(1, 38);
    cr_assert_eq(eh_take_add(&take, &first), EH_OK);
    for (int i = 0; i < 1000; i++) {
        cr_assert_eq(eh_take_add(&take, &take.hits[0]), EH_OK);
    }
    cr_expect_eq(take.count, 1001);
    cr_expect_eq(take.hits[1000].at_ns, 1);
    eh_take_deinit(&take);
}

Test(take, finds_bars_through_changes_of_metre) {
    /* two bars of 4/4, three of 6/8, then 7/8 */
    struct eh_take take = {0};
    metre(&take, 0, 4, 4);
    metre(&take, 161280, 6, 8);
    metre(&take, 342720, 7, 8);
    static const struct {
        eh_ticks at;
        int bar;
        eh_ticks in_bar;
    } rows[] = {
        {0, 1, 0},           {80639, 1, 80639},  {80640, 2, 0},      {161279, 2, 80639},
        {161280, 3, 0},      {221760, 4, 0},     {342719, 5, 60479}, {342720, 6, 0},
        {413280, 7, 0},      {413279, 6, 70559}, {-1, 0, 80639},     {-80640, 0, 0},
        {-80641, -1, 80639}, {-161280, -1, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int bar = 0;
        eh_ticks in_bar = 0;
        eh_take_locate(&take, rows[i].at, &bar, &in_bar);
        cr_expect_eq(bar, rows[i].bar, "tick %lld", (long long)rows[i].at);
        cr_expect_eq(in_bar, rows[i].in_bar, "tick %lld", (long long)rows[i].at);
        cr_expect_eq(eh_take_bar_start(&take, rows[i].bar), rows[i].at - rows[i].in_bar);
    }
    cr_expect_eq(eh_take_metre(&take, 161279).beats, 4);
    cr_expect_eq(eh_take_metre(&take, 161280).beats, 6);
    cr_expect_eq(eh_take_metre(&take, -5).beats, 4);
    eh_take_deinit(&take);
}

Test(take, a_metre_inside_a_bar_cuts_that_bar_short) {
    struct eh_take take = {0};
    metre(&take, 0, 4, 4);
    metre(&take, 100800, 3, 4); /* a quarter into bar 2 */
    int bar = 0;
    eh_ticks in_bar = 0;
    eh_take_locate(&take, 100799, &bar, &in_bar);
    cr_expect_eq(bar, 2);
    eh_take_locate(&take, 100800, &bar, &in_bar);
    cr_expect_eq(bar, 3);
    cr_expect_eq(in_bar, 0);
    cr_expect_eq(eh_take_bar_start(&take, 3), 100800);
    cr_expect_eq(eh_take_bar_start(&take, 4), 100800 + 60480);
    eh_take_deinit(&take);
}

Test(take, bar_one_is_where_the_first_metre_begins) {
    struct eh_take take = {0};
    metre(&take, -80640, 4, 4);
    int bar = 0;
    eh_ticks in_bar = 0;
    eh_take_locate(&take, 0, &bar, &in_bar);
    cr_expect_eq(bar, 2);
    cr_expect_eq(eh_take_bar_start(&take, 1), -80640);
    eh_take_deinit(&take);
}

Test(take, without_a_metre_counts_in_four) {
    const struct eh_take take = {0};
    int bar = 0;
    eh_ticks in_bar = 0;
    eh_take_locate(&take, 161281, &bar, &in_bar);
    cr_expect_eq(bar, 3);
    cr_expect_eq(in_bar, 1);
    cr_expect_eq(eh_take_bar_start(&take, 3), 161280);
    cr_expect_eq(eh_take_metre(&take, 0).beats, 4);
}

Test(take, metres_come_in_any_order_and_the_last_word_at_a_place_holds) {
    struct eh_take take = {0};
    metre(&take, 161280, 3, 4);
    metre(&take, 0, 4, 4);
    metre(&take, 80640, 2, 4);
    metre(&take, 80640, 5, 4);
    cr_assert_eq(take.metre_count, 3);
    cr_expect_eq(take.metres[0].beats, 4);
    cr_expect_eq(take.metres[1].beats, 5);
    cr_expect_eq(take.metres[2].beats, 3);
    cr_expect_eq(eh_take_add_metre(&take, (struct eh_metre_change){0, 4, 6}), EH_OUT_OF_RANGE);
    cr_expect_eq(eh_take_add_metre(&take, (struct eh_metre_change){0, 0, 4}), EH_OUT_OF_RANGE);
    cr_expect_eq(take.metre_count, 3);
    eh_take_deinit(&take);
}

/* A bar is as many notes of its unit as the metre says: arithmetic. */
Test(take, a_bar_is_as_long_as_its_metre_says) {
    static const struct {
        uint8_t beats;
        uint8_t unit;
        eh_ticks ticks;
    } rows[] = {{4, 4, 80640}, {3, 4, 60480},  {6, 8, 60480},      {7, 8, 70560},
                {2, 2, 80640}, {5, 16, 25200}, {255, 1, 20563200}, {1, 128, 630}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct eh_metre_change m = {0, rows[i].beats, rows[i].unit};
        cr_expect_eq(eh_metre_bar(m), rows[i].ticks, "%d/%d", rows[i].beats, rows[i].unit);
    }
}

Test(take, a_place_beyond_all_bars_is_the_last_one) {
    const struct eh_take take = {0};
    int bar = 0;
    eh_ticks in_bar = 0;
    eh_take_locate(&take, INT64_C(1) << 60, &bar, &in_bar);
    cr_expect_eq(bar, INT_MAX);
    eh_take_locate(&take, -(INT64_C(1) << 60), &bar, &in_bar);
    cr_expect_eq(bar, INT_MIN);
}

Test(take, velocity_is_shown_on_the_scale_of_the_kit) {
    /* 100 and 100 + 64/128, as controller 88 with value 64 would make it */
    const struct eh_hit whole = {.velocity = 100 * EH_VELOCITY_UNIT};
    const struct eh_hit finer = {.velocity = 100 * EH_VELOCITY_UNIT + 64 * 4};
    cr_expect_float_eq(eh_hit_velocity(&whole), 100.0, 1e-12);
    cr_expect_float_eq(eh_hit_velocity(&finer), 100.5, 1e-12);
}
