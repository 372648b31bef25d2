/* The ladder with learners whose fault shows only above a tempo. docs/ladder.md has the figures of
 * a thousand runs each; the bounds here are wider by what a hundred runs may differ. */
#include <criterion/criterion.h>

#include "climbs.h"
#include "learner.h"

enum { RUNS = 100 };

/* 90 % intervals: 85 to 95 of a hundred over all settings and both kinds of learner. */
Test(climb, finds_the_tempo_the_aspect_and_the_hand) {
    int covered = 0;
    for (size_t i = 0; i < CLIMB_SETTINGS; i++) {
        const double step = climb_settings[i].step;
        struct climbs at_once;
        struct climbs gradual;
        climbs_run(&at_once, &climb_settings[i], false, RUNS);
        climbs_run(&gradual, &climb_settings[i], true, RUNS);
        cr_expect_geq(at_once.ladder_near, 97, "step %g: %d", step, at_once.ladder_near);
        cr_expect_geq(at_once.held_near, 97, "step %g: %d", step, at_once.held_near);
        cr_expect_geq(at_once.named, 97, "step %g: %d", step, at_once.named);
        cr_expect_geq(gradual.held_near, step < 3.0 ? 85 : 92, "%g: %d", step, gradual.held_near);
        cr_expect_geq(gradual.named, 92, "step %g: %d", step, gradual.named);
        cr_expect(at_once.covered >= 75, "step %g: %d", step, at_once.covered);
        cr_expect(gradual.covered >= 85, "step %g: %d", step, gradual.covered);
        covered += at_once.covered + gradual.covered;
        if (step == 5.0 && climb_settings[i].in_a_row == 2) { /* what a practice has room for */
            cr_expect_leq(at_once.passes, 20 * RUNS);
            cr_expect_leq(at_once.most_of_nine, 26);
        }
    }
    cr_expect(covered >= 85 * 2 * CLIMB_SETTINGS && covered <= 95 * 2 * CLIMB_SETTINGS, "%d",
              covered);
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
