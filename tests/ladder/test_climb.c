/* The ladder with learners whose fault shows only above a tempo. docs/ladder.md has the figures of
 * a thousand runs each; the bounds here are wider by what a hundred runs may differ. */
#include <criterion/criterion.h>

#include "climbs.h"
#include "evenhand/exercise_text.h"
#include "evenhand/hand_motion.h"
#include "evenhand/settings.h"
#include "learner.h"
#include "played.h"

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

/* The demo player's hits through the judge. */
Test(climb, finds_the_tempo_of_a_learner_who_is_heard) {
    enum { PLAYED = 20 };
    for (size_t i = 0; i < PLAYED_CASES; i++) {
        struct played_counts c;
        played_run(&c, &played_cases[i], 8.0, PLAYED);
        cr_expect_geq(c.near, 19, "%s: %d", played_cases[i].name, c.near);
        cr_expect_geq(c.named, 19, "%s: %d", played_cases[i].name, c.named);
        cr_expect_geq(c.settled, 19, "%s: %d", played_cases[i].name, c.settled);
        cr_expect_geq(c.covered, 14, "%s: %d", played_cases[i].name, c.covered);
        cr_expect_leq(c.passes, 18 * PLAYED, "%s: %d", played_cases[i].name, c.passes);
    }
}

/* Seconds that fail are none of the hand motion's; a late hand is. */
Test(climb, hears_whether_the_roll_broke_or_its_motion) {
    static const char bars[] = "metre: 2/4\n|: 16:R/L/ 8:R> 16:L/R/ 8:L> :|x4\n";
    static const struct {
        const char *fault;
        uint8_t stage, aspect;
    } cases[] = {{"late-left-seconds@91", EH_STAGE_PLAYED, EH_ASPECT_DIDDLE_SPACING},
                 {"late-right@91", EH_STAGE_HAND_MOTION, EH_ASPECT_HAND_TIMING}};
    struct eh_exercise *exercise = NULL;
    struct eh_exercise *motion = NULL;
    struct eh_style style;
    cr_assert_eq(eh_style_shipped(&style, "rudimental", NULL), EH_OK);
    cr_assert_eq(eh_exercise_parse(&exercise, bars, sizeof bars - 1, NULL), EH_OK);
    cr_assert_eq(eh_exercise_hand_motion(&motion, exercise, NULL), EH_OK);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const struct eh_ladder_request request = {
            .from_bpm = 76, .to_bpm = 116, .step_bpm = 8, .hand_motion = true, .passes_max = 100};
        const struct played played = {.exercise = exercise,
                                      .motion = motion,
                                      .style = &style,
                                      .fault = cases[i].fault,
                                      .seed = 3};
        struct eh_ladder ladder;
        cr_assert_eq(eh_ladder_init(&ladder, &request, NULL), EH_OK);
        cr_assert_gt(played_climb(&played, &ladder), 0);
        const struct eh_ladder_fault broke = eh_ladder_broke(&ladder);
        cr_expect_eq(ladder.step.end, EH_LADDER_SETTLED, "%s: %s", cases[i].fault,
                     ladder.step.reason);
        cr_expect_eq(broke.stage, cases[i].stage, "%s", cases[i].fault);
        cr_expect_eq(broke.aspect, cases[i].aspect, "%s", cases[i].fault);
        cr_expect_eq(broke.bpm, 92, "%s: %g", cases[i].fault, broke.bpm);
        cr_expect_eq(eh_ladder_passed(&ladder, EH_STAGE_PLAYED), 84);
        eh_ladder_deinit(&ladder);
    }
    eh_exercise_free(motion);
    eh_exercise_free(exercise);
}
