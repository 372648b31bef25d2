/* What a described pad makes of the demo player's strokes. */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "demo_row.h"
#include "evenhand/demo.h"
#include "text_exercise.h"

#define MS ((double)EH_NS_PER_MS)

static struct eh_pad plain_pad(void) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    return pad;
}

/* The level of a velocity, dB re 127: 20 log10 of the ratio. */
static double db(double velocity) {
    return 20.0 * log10(velocity / 127.0);
}

static int velocity_of(const struct eh_pad *pad, double level_db) {
    struct eh_demo_through t = {.pad = pad};
    struct eh_hit hit = {.note = 38};
    return eh_demo_report(&t, 0.0, level_db, false, &hit) ? hit.velocity / EH_VELOCITY_UNIT : 0;
}

Test(demo_through, a_plain_pad_gives_whole_velocities_in_proportion) {
    const struct eh_pad pad = plain_pad();
    for (int v = 1; v <= 127; v++) {
        cr_expect_eq(velocity_of(&pad, db(v)), v);
        cr_expect_eq(velocity_of(NULL, db(v)), v);
    }
    cr_expect_eq(velocity_of(&pad, 6.0), 127);
    cr_expect_eq(velocity_of(&pad, -80.0), 1, "without a floor the softest is 1");
}

Test(demo_through, a_floor_and_a_top_act_at_their_own_velocity) {
    struct eh_pad pad = plain_pad();
    pad.floor_velocity = 20.0;
    pad.top_velocity = 110.0;
    cr_expect_eq(velocity_of(&pad, db(20)), 20);
    cr_expect_eq(velocity_of(&pad, db(19.6)), 20);
    cr_expect_eq(velocity_of(&pad, db(19.4)), 0);
    cr_expect_eq(velocity_of(&pad, db(109)), 109);
    cr_expect_eq(velocity_of(&pad, db(111)), 110);
    cr_expect_eq(velocity_of(&pad, 0.0), 110);
}

/* A curve of two dB of level to each dB of 20 log10(velocity): -24.08 dB is a quarter of the
 * velocity, not a sixteenth. */
Test(demo_through, levels_come_out_on_the_pads_own_curve) {
    struct eh_pad pad = plain_pad();
    pad.levels.count = EH_LEVEL_POINTS;
    for (int i = 0; i < EH_LEVEL_POINTS; i++) {
        pad.levels.velocity[i] = 1.0 + 4.0 * i;
        pad.levels.level_db[i] = 2.0 * db(1.0 + 4.0 * i) + 3.0;
    }
    cr_expect_eq(velocity_of(&pad, 0.0), 127);
    cr_expect_leq(abs(velocity_of(&pad, -24.08) - 32), 1);
    cr_expect_leq(abs(velocity_of(&pad, -12.04) - 64), 1);
    for (int v = 5; v <= 125; v++) {
        const double back = eh_pad_level_db(&pad, velocity_of(&pad, 2.0 * db(v)));
        cr_expect_float_eq(back - eh_pad_level_db(&pad, 127.0), 2.0 * db(v), 1.8, "%d", v);
    }
}

static bool second_heard(const struct eh_pad *pad, double gap_ms, double louder_db, bool echo) {
    struct eh_demo_through t = {.pad = pad};
    struct eh_hit hit = {.note = 38};
    cr_assert(eh_demo_report(&t, 0.0, -20.0, false, &hit));
    return eh_demo_report(&t, gap_ms * MS, -20.0 + louder_db, echo, &hit);
}

/* The edges are those of the pad's header: below 10 ms 8 dB, to 60 ms 1.8 - 0.21 dB a ms. */
Test(demo_through, soft_strokes_soon_after_loud_ones_are_hidden_by_the_mask) {
    const struct eh_pad pad = plain_pad();
    static const struct {
        double gap_ms, louder_db;
        bool heard;
    } rows[] = {
        {9.999, 7.99, false}, {9.999, 8.01, true}, {10.0, -0.31, false}, {10.0, -0.29, true},
        {42.0, -7.03, false}, {42.0, -7.01, true}, {59.9, -10.8, false}, {60.0, -40.0, true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cr_expect_eq(second_heard(&pad, rows[i].gap_ms, rows[i].louder_db, false), rows[i].heard,
                     "%g ms, %g dB", rows[i].gap_ms, rows[i].louder_db);
        cr_expect(second_heard(&pad, rows[i].gap_ms, rows[i].louder_db, true), "an echo");
    }
}

Test(demo_through, the_mask_goes_by_the_last_stroke_that_was_reported) {
    const struct eh_pad pad = plain_pad();
    struct eh_demo_through t = {.pad = &pad};
    struct eh_hit hit = {.note = 38};
    cr_expect(eh_demo_report(&t, 0.0, -10.0, false, &hit));
    cr_expect_not(eh_demo_report(&t, 40.0 * MS, -30.0, false, &hit));
    cr_expect(eh_demo_report(&t, 61.0 * MS, -30.0, false, &hit), "21 ms after one that was hidden");
}

Test(demo_through, a_clock_of_five_milliseconds_and_a_delay_only_make_late) {
    struct eh_pad pad = plain_pad();
    pad.clock_ns = 5 * EH_NS_PER_MS;
    pad.mask_until_ns = 0;
    static const struct {
        double at_ms;
        int64_t delay_ns, stamped_ns;
    } rows[] = {
        {0.0, 0, 0},         {0.001, 0, 5000000},        {5.0, 0, 5000000},    {-4.9, 0, 0},
        {-5.1, 0, -5000000}, {12.0, 40500000, 55000000}, {12.0, -12000000, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_demo_through t = {.pad = &pad};
        struct eh_hit hit = {.note = 38};
        pad.delay_ns = rows[i].delay_ns;
        cr_assert(eh_demo_report(&t, rows[i].at_ms * MS, -10.0, false, &hit));
        cr_expect_eq(hit.at_ns, rows[i].stamped_ns, "%g ms: %lld", rows[i].at_ms,
                     (long long)hit.at_ns);
    }
}

Test(demo_through, pads_for_each_hand_are_hit_by_it_and_a_head_by_both) {
    struct eh_demo_request request = {.seed = 0};
    struct eh_pad pad = plain_pad();
    eh_demo_take_notes(&request, &pad);
    cr_expect(request.note == 38 && request.rim_note == 40 && request.hand_notes[0] == 38 &&
              request.hand_notes[1] == 38);
    memset(pad.zones, EH_ZONE_NONE, sizeof pad.zones);
    pad.zones[0] = EH_ZONE_LEFT;
    eh_demo_take_notes(&request, &pad);
    cr_expect(request.note == 0 && request.rim_note == 0 && request.hand_notes[1] == 0);
    pad.zones[5] = EH_ZONE_RIGHT;
    eh_demo_take_notes(&request, &pad);
    cr_expect(request.hand_notes[EH_HAND_LEFT] == 0 && request.hand_notes[EH_HAND_RIGHT] == 5);
    struct eh_exercise *exercise = text_exercise(NULL, "| 16:R/L/R/L/ 16:R/L/R/L/ 2:- |\n");
    struct eh_plan plan;
    text_plan(&plan, exercise, 60.0, 1, 0);
    struct eh_demo demo;
    struct eh_take take = {0};
    request.exact = true;
    cr_assert_eq(eh_demo_init(&demo, &plan, &request, NULL), EH_OK);
    cr_assert_eq(eh_demo_hits(&demo, &take), EH_OK);
    cr_expect_gt(take.count, 8);
    for (size_t i = 0; i < take.count; i++) {
        const int hand = eh_plan_stroke(&plan, i)->hand;
        cr_expect_eq(take.hits[i].note, hand == EH_HAND_LEFT ? 0 : 5, "hit %zu", i);
    }
    eh_take_deinit(&take);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}
