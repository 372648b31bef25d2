/* How an exercise is laid on a click. */
#include <criterion/criterion.h>

#include "exercises.h"

#define MS EH_NS_PER_MS

static struct eh_plan lay(const struct eh_exercise *exercise, struct eh_plan_request request,
                          double bpm, eh_ticks start) {
    struct eh_tempo_map click;
    struct eh_plan plan;
    struct eh_error error;
    cr_assert_eq(eh_tempo_map_init(&click, 0, 0, eh_ns_per_quarter(bpm)), EH_OK);
    cr_assert_eq(eh_plan_init(&plan, exercise, &request, &click, start, &error), EH_OK);
    eh_tempo_map_deinit(&click);
    return plan;
}

/* Half of professionals' flams lie 17 to 33 ms apart; a drag's notes stand a little wider. */
Test(plan, grace_notes_lead_by_their_usual_time_or_less_where_there_is_no_room) {
    cr_expect_eq(eh_grace_lead_ns(1, 1, 500 * MS), 25 * MS);
    cr_expect_eq(eh_grace_lead_ns(2, 1, 500 * MS), 45 * MS);
    cr_expect_eq(eh_grace_lead_ns(2, 2, 500 * MS), 90 * MS);
    cr_expect_eq(eh_grace_lead_ns(1, 1, 63 * MS), 25 * MS, "two fifths of 63 ms are just enough");
    cr_expect_eq(eh_grace_lead_ns(1, 1, 50 * MS), 20 * MS);
    cr_expect_eq(eh_grace_lead_ns(2, 2, 100 * MS), 40 * MS, "both within two fifths of the way");
}

Test(plan, passes_follow_one_another_with_the_gap_that_was_asked_for) {
    struct eh_exercise *exercise = parse_exercise("metre: 2/4\n| 8:RLRL | 4:R L |\n");
    const struct eh_plan_request request = {.passes = 3, .gap = 2 * EH_TICKS_PER_QUARTER};
    struct eh_plan plan = lay(exercise, request, 120.0, 4 * EH_TICKS_PER_QUARTER);
    cr_assert_eq(plan.due_count, 18);
    cr_assert_eq(plan.bar_count, 6);
    cr_expect_eq(plan.start_ns, 2000 * MS);
    for (int pass = 0; pass < 3; pass++) {
        /* Two bars of a second each and a second's gap. */
        cr_expect_eq(plan.due[6 * pass].at_ns, (2000 + 3000 * pass) * MS, "pass %d", pass);
        cr_expect_eq(plan.bars[2 * pass].pass, pass);
        cr_expect_eq(plan.bars[2 * pass + 1].first_due, (uint32_t)(6 * pass + 4));
        cr_expect_eq(plan.bars[2 * pass + 1].due_count, 2);
    }
    cr_expect_eq(plan.end_ns, (2000 + 8000) * MS);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}

Test(plan, bars_asked_for_begin_at_its_first_bar_line) {
    struct eh_exercise *exercise = parse_exercise("metre: 2/4\n| 4:RL | 8:RLRL | 4:L R | 2:L |\n");
    const struct eh_plan_request request = {.first_bar = 2, .last_bar = 3};
    struct eh_plan plan = lay(exercise, request, 60.0, 0);
    cr_assert_eq(plan.due_count, 6);
    cr_expect_eq(plan.due[0].at, 0);
    cr_expect_eq(plan.due[4].at_ns, 2000 * MS);
    cr_expect_eq(plan.bars[0].written, 2);
    cr_expect_eq(plan.bars[1].written, 3);
    eh_plan_deinit(&plan);
    struct eh_plan none;
    struct eh_error error;
    struct eh_tempo_map click;
    cr_assert_eq(eh_tempo_map_init(&click, 0, 0, EH_NS_PER_S), EH_OK);
    static const struct eh_plan_request wrong[] = {{.first_bar = 5, .last_bar = 5},
                                                   {.first_bar = 3, .last_bar = 2},
                                                   {.first_bar = 1, .last_bar = 5}};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        cr_expect_eq(eh_plan_init(&none, exercise, &wrong[i], &click, 0, &error), EH_OUT_OF_RANGE,
                     "request %zu", i);
    }
    eh_tempo_map_deinit(&click);
    eh_exercise_free(exercise);
}

Test(plan, spacing_is_that_to_the_nearer_neighbour_and_grace_notes_are_passed_over) {
    struct eh_exercise *exercise = parse_exercise("metre: 4/4\n| 4:R 8:lR L 16:RLRL 4:R |\n");
    struct eh_plan plan = lay(exercise, (struct eh_plan_request){0}, 60.0, 0);
    static const int spacing_ms[] = {1000, 500, 500, 500, 250, 250, 250, 250, 250};
    cr_assert_eq(plan.due_count, 9);
    for (size_t i = 0; i < plan.due_count; i++) {
        cr_expect_eq(plan.due[i].spacing_ns, spacing_ms[i] * MS, "stroke %zu", i);
    }
    cr_expect_eq(plan.due[1].main, 2);
    cr_expect_eq(plan.due[1].at_ns, (1000 - 25) * MS);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}
