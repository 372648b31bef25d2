/* The ladder with learners whose fault shows only above a tempo. docs/ladder.md has the figures of
 * a thousand runs each; the bounds here are wider by what a hundred runs may differ. */
#include <criterion/criterion.h>

#include "climbs.h"
#include "learner.h"

enum { RUNS = 100 };

Test(climb, finds_the_tempo_above_which_a_fault_shows) {
    for (size_t i = 0; i < CLIMB_SETTINGS; i++) {
        const double step = climb_settings[i].step;
        struct climbs c;
        climbs_run(&c, &climb_settings[i], false, RUNS);
        cr_expect_geq(c.ladder_near, 97, "step %g: %d", step, c.ladder_near);
        cr_expect_geq(c.held_near, 97, "step %g: %d", step, c.held_near);
        cr_expect_geq(c.named, 97, "step %g: %d", step, c.named);
    }
}

Test(climb, finds_the_tempo_of_a_fault_that_grows) {
    for (size_t i = 0; i < CLIMB_SETTINGS; i++) {
        const double step = climb_settings[i].step;
        struct climbs c;
        climbs_run(&c, &climb_settings[i], true, RUNS);
        cr_expect_geq(c.held_near, step < 3.0 ? 85 : 92, "step %g: %d", step, c.held_near);
        cr_expect_geq(c.named, 92, "step %g: %d", step, c.named);
    }
}

/* 90 % intervals: 85 to 95 of a hundred, over all settings, for both kinds of learners together. */
Test(climb, the_interval_holds_the_truth_about_as_often_as_it_says) {
    int covered = 0;
    for (size_t i = 0; i < CLIMB_SETTINGS; i++) {
        for (int gradual = 0; gradual < 2; gradual++) {
            struct climbs c;
            climbs_run(&c, &climb_settings[i], gradual, RUNS);
            cr_expect(c.covered >= 75, "step %g: %d", climb_settings[i].step, c.covered);
            covered += c.covered;
        }
    }
    cr_expect(covered >= 85 * 2 * CLIMB_SETTINGS && covered <= 95 * 2 * CLIMB_SETTINGS, "%d",
              covered);
}

Test(climb, takes_no_more_passes_than_a_practice_has) {
    struct climbs c;
    climbs_run(&c, &climb_settings[1], false, RUNS); /* 70 to 120 by 5, two in a row */
    cr_expect_leq(c.passes, 20 * RUNS);
    cr_expect_leq(c.most_of_nine, 26);
}

Test(climb, of_a_roll_and_its_motion_tells_which_broke) {
    const struct eh_ladder_request request = {
        .from_bpm = 70, .to_bpm = 120, .step_bpm = 5, .hand_motion = true, .passes_max = 100};
    int right = 0;
    for (int run = 0; run < RUNS; run++) {
        struct learner learner = {.fault = 0, .bpm = 97.0, .motion_bpm = run % 2 ? 107.0 : 87.0};
        struct eh_ladder ladder;
        eh_random_seed(&learner.random, (uint64_t)run, 7);
        cr_assert_eq(eh_ladder_init(&ladder, &request, NULL), EH_OK);
        (void)learner_climb(&learner, &ladder, 1);
        const struct eh_ladder_fault broke = eh_ladder_broke(&ladder);
        right += ladder.step.end == EH_LADDER_SETTLED && broke.known &&
                 broke.stage == (run % 2 ? EH_STAGE_PLAYED : EH_STAGE_HAND_MOTION) &&
                 broke.bpm == (run % 2 ? 100.0 : 90.0) && broke.side == EH_SIDE_LEFT &&
                 broke.aspect == EH_ASPECT_DIDDLE_SPACING;
        eh_ladder_deinit(&ladder);
    }
    cr_expect_geq(right, 95, "%d", right);
}

Test(climb, a_player_without_a_fault_reaches_the_top_and_a_beginner_the_floor) {
    int top = 0;
    int floor = 0;
    for (int run = 0; run < RUNS; run++) {
        const struct eh_ladder_request request = {.from_bpm = 70, .to_bpm = 120, .step_bpm = 5};
        struct learner learner = {.fault = (size_t)run % 8, .bpm = run % 2 ? 200.0 : 50.0};
        struct eh_ladder ladder;
        eh_random_seed(&learner.random, (uint64_t)run, 8);
        cr_assert_eq(eh_ladder_init(&ladder, &request, NULL), EH_OK);
        (void)learner_climb(&learner, &ladder, 1);
        top += run % 2 && ladder.step.end == EH_LADDER_TOP;
        floor += run % 2 == 0 && ladder.step.end == EH_LADDER_FLOOR;
        eh_ladder_deinit(&ladder);
    }
    cr_expect_geq(top, 49);
    cr_expect_geq(floor, 49);
}
