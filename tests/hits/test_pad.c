/* The pad's notes, its levels and its echoes. */
#include <criterion/criterion.h>
#include <math.h>

#include "evenhand/pad.h"

static struct eh_hit hit(int64_t at_ns, double velocity) {
    return (struct eh_hit){
        .at_ns = at_ns, .velocity = (uint16_t)(velocity * EH_VELOCITY_UNIT), .note = 38};
}

/* General MIDI System Level 1 percussion map: 37 side stick, 38 acoustic snare, 40 electric snare;
 * 40 for the rim of a snare pad is common practice, no source. */
Test(pad, knows_the_usual_notes_of_a_snare_and_no_others) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    for (int note = 0; note < 256; note++) {
        const bool own = note == 37 || note == 38 || note == 40;
        cr_expect_eq(eh_pad_owns(&pad, (uint8_t)note), own, "note %d", note);
    }
    cr_expect_eq(pad.zones[38], EH_ZONE_HEAD);
    cr_expect_eq(pad.zones[40], EH_ZONE_RIM);
    cr_expect_eq(pad.zones[37], EH_ZONE_CROSS);
    cr_expect_str_eq(pad.name, "default");
    cr_expect_str_eq(pad.levels.name, "default");
}

/* 20 log10 of a ratio of amplitudes: a factor of 2 is 6.0206 dB, of 10 is 20 dB (definition of the
 * decibel, ISO 80000-3). */
Test(pad, the_default_law_gives_twice_the_velocity_six_decibels_more) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    cr_expect_float_eq(eh_pad_level_db(&pad, 127), 0.0, 1e-12);
    cr_expect_float_eq(eh_pad_level_db(&pad, 63.5), -6.0206, 1e-4);
    cr_expect_float_eq(eh_pad_level_db(&pad, 12.7), -20.0, 1e-9);
    cr_expect_float_eq(eh_pad_level_db(&pad, 80) - eh_pad_level_db(&pad, 40), 6.0206, 1e-4);
    cr_expect_float_eq(eh_pad_level_db(&pad, 0), eh_pad_level_db(&pad, 1), 1e-12);
    cr_expect_float_eq(eh_pad_level_db(&pad, 500), eh_pad_level_db(&pad, 128), 1e-12);
}

Test(pad, a_calibrated_map_runs_straight_between_its_points_and_on_beyond_them) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    pad.levels = (struct eh_level_map){
        .name = "mesh", .count = 3, .velocity = {20, 60, 100}, .level_db = {-30, -10, 0}};
    static const struct {
        double velocity;
        double level_db;
    } rows[] = {{20, -30}, {40, -20}, {60, -10},  {80, -5},   {100, 0},
                {10, -35}, {120, 5},  {1, -39.5}, {0, -39.5}, {128, 7}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        cr_expect_float_eq(eh_pad_level_db(&pad, rows[i].velocity), rows[i].level_db, 1e-9, "%g",
                           rows[i].velocity);
    }
}

Test(pad, one_calibrated_point_moves_the_default_law_to_pass_through_it) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    pad.levels = (struct eh_level_map){.count = 1, .velocity = {64}, .level_db = {-3}};
    cr_expect_float_eq(eh_pad_level_db(&pad, 64), -3.0, 1e-12);
    cr_expect_float_eq(eh_pad_level_db(&pad, 32), -3.0 - 20.0 * log10(2.0), 1e-9);
}

Test(pad, keeps_its_own_hits_in_order) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    static const uint8_t notes[] = {36, 38, 42, 40, 37, 38, 49};
    struct eh_take take = {0};
    for (int i = 0; i < 7; i++) {
        const struct eh_hit h = {.at_ns = i, .velocity = 512, .note = notes[i]};
        cr_assert_eq(eh_take_add(&take, &h), EH_OK);
    }
    eh_pad_keep_own(&pad, &take);
    cr_assert_eq(take.count, 4);
    static const int64_t kept[] = {1, 3, 4, 5};
    for (size_t i = 0; i < 4; i++) {
        cr_expect_eq(take.hits[i].at_ns, kept[i]);
    }
    eh_take_deinit(&take);
}

/* Each edge, and one nanosecond or one step of velocity beyond it. Half the velocity is 6.02 dB. */
Test(pad, tells_an_echo_by_time_and_level) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    static const struct {
        int64_t dt_ns;
        double first;
        double second;
        bool echo;
        const char *what;
    } rows[] = {
        {0, 80, 80, true, "two reports of one instant"},
        {0, 80, 79, true, "softer at the same instant"},
        {0, 80, 81, false, "louder at the same instant"},
        {9999999, 80, 79, true, "softer, just inside 10 ms"},
        {9999999, 80, 80, true, "as loud, just inside 10 ms"},
        {9999999, 80, 81, false, "louder: that one is the stroke"},
        {10000000, 80, 79, false, "a little softer, at 10 ms"},
        {10000000, 80, 40, true, "half, at 10 ms"},
        {30000000, 80, 40, true, "half, at 30 ms"},
        {30000001, 80, 40, false, "half, just beyond 30 ms"},
        {20000000, 100, 50.2, false, "5.99 dB softer"},
        {20000000, 100, 50.0, true, "6.02 dB softer"},
        {25000000, 100, 80, false, "a bounce of a press, 1.9 dB below the one before"},
        {20000000, 40, 80, false, "a main note after its grace note"},
        {31250000, 80, 20, false, "32nds at 240 to the minute, however soft"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct eh_hit first = hit(1000, rows[i].first);
        const struct eh_hit second = hit(1000 + rows[i].dt_ns, rows[i].second);
        cr_expect_eq(eh_pad_may_retrigger(&pad, &first, &second), rows[i].echo, "%s", rows[i].what);
    }
}

Test(pad, hears_an_echo_on_its_own_level_map_and_by_its_own_settings) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    const struct eh_hit first = hit(0, 100);
    const struct eh_hit second = hit(20 * EH_NS_PER_MS, 50);
    cr_expect(eh_pad_may_retrigger(&pad, &first, &second));
    pad.levels = (struct eh_level_map){.count = 2, .velocity = {50, 100}, .level_db = {-5.9, 0}};
    cr_expect_not(eh_pad_may_retrigger(&pad, &first, &second));
    pad.retrigger_softer_db = 5.8;
    cr_expect(eh_pad_may_retrigger(&pad, &first, &second));
    pad.retrigger_late_ns = 15 * EH_NS_PER_MS;
    cr_expect_not(eh_pad_may_retrigger(&pad, &first, &second));
    pad.retrigger_ns = 21 * EH_NS_PER_MS;
    cr_expect(eh_pad_may_retrigger(&pad, &first, &second));
}

/* The measured edge of the Groove MIDI Dataset 1.0.0's mesh heads (Gillick et al. 2019, CC BY 4.0),
 * as the header gives it. */
Test(pad, hides_what_is_too_soft_too_soon) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    cr_expect_float_eq(eh_pad_mask_db(&pad, 0), 8.0, 1e-12);
    cr_expect_float_eq(eh_pad_mask_db(&pad, 10 * EH_NS_PER_MS - 1), 8.0, 1e-12);
    cr_expect_float_eq(eh_pad_mask_db(&pad, 10 * EH_NS_PER_MS), -0.3, 1e-12);
    cr_expect_float_eq(eh_pad_mask_db(&pad, 42 * EH_NS_PER_MS), 1.8 - 0.21 * 42, 1e-12);
    cr_expect_float_eq(eh_pad_mask_db(&pad, 60 * EH_NS_PER_MS - 1), -10.8, 1e-6);
    cr_expect_eq(eh_pad_mask_db(&pad, 60 * EH_NS_PER_MS), -INFINITY);
    pad.mask_until_ns = 0;
    cr_expect_eq(eh_pad_mask_db(&pad, 0), -INFINITY, "a pad that hides nothing");
}

Test(pad, gives_the_lowest_note_of_a_zone_and_the_coarser_of_two_clocks) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    cr_expect_eq(eh_pad_note(&pad, EH_ZONE_HEAD), 38);
    cr_expect_eq(eh_pad_note(&pad, EH_ZONE_LEFT), EH_PAD_NO_NOTE);
    pad.zones[127] = EH_ZONE_LEFT;
    cr_expect_eq(eh_pad_note(&pad, EH_ZONE_LEFT), 127);
    pad.zones[0] = EH_ZONE_LEFT;
    cr_expect_eq(eh_pad_note(&pad, EH_ZONE_LEFT), 0);
    cr_expect_eq(eh_pad_resolution_ns(&pad, EH_NS_PER_MS), EH_NS_PER_MS);
    pad.clock_ns = 5 * EH_NS_PER_MS;
    cr_expect_eq(eh_pad_resolution_ns(&pad, EH_NS_PER_MS), 5 * EH_NS_PER_MS);
    cr_expect_eq(eh_pad_resolution_ns(&pad, 6 * EH_NS_PER_MS), 6 * EH_NS_PER_MS);
}

Test(pad, is_saturated_from_its_own_top_on) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    static const struct {
        double top;
        double velocity;
        bool saturated;
    } rows[] = {{127, 126.99, false}, {127, 127, true},    {127, 127.99, true}, {110, 109.5, false},
                {110, 110, true},     {110.5, 110, false}, {128, 127.99, false}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct eh_hit h = hit(0, rows[i].velocity);
        pad.top_velocity = rows[i].top;
        cr_expect_eq(eh_pad_saturated(&pad, &h), rows[i].saturated, "%g of %g", rows[i].velocity,
                     rows[i].top);
    }
}
