#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "evenhand/demo.h"
#include "text_exercise.h"

/* How far the left hand's strokes come behind the right hand's, ms, played at BPM. */
static double left_late_ms(const char *fault, double bpm) {
    struct eh_exercise *exercise = text_exercise(NULL, "|: 8: RLRL RLRL :|x16");
    struct eh_demo_request request = {.seed = 5};
    struct eh_error error = {0};
    struct eh_take take = {0};
    struct eh_plan plan;
    struct eh_demo demo;
    double sum[2] = {0.0, 0.0};
    text_plan(&plan, exercise, bpm, 1, 0);
    cr_assert_eq(eh_demo_faults_read(request.faults, &request.fault_count, fault, &error), EH_OK,
                 "%s", error.text);
    cr_assert_eq(eh_demo_init(&demo, &plan, &request, &error), EH_OK);
    cr_assert_eq(eh_demo_hits(&demo, &take), EH_OK);
    cr_assert_eq(take.count, plan.due_count);
    for (size_t i = 0; i < take.count; i++) {
        sum[eh_plan_stroke(&plan, i)->hand] +=
            (double)(take.hits[i].at_ns - plan.due[i].at_ns) / 1e6;
    }
    const double late = (sum[EH_HAND_LEFT] - sum[EH_HAND_RIGHT]) / ((double)take.count / 2.0);
    eh_take_deinit(&take);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
    return late;
}

Test(demo_above, a_fault_shows_only_above_its_tempo) {
    cr_expect_lt(fabs(left_late_ms("late-left:40@92", 80)), 5.0);
    cr_expect_lt(fabs(left_late_ms("late-left:40@92", 92)), 5.0);
    cr_expect_float_eq(left_late_ms("late-left:40@92", 92.1), 40.0, 5.0);
    cr_expect_float_eq(left_late_ms("late-left:40@92", 120), 40.0, 5.0);
    cr_expect_float_eq(left_late_ms("late-left:40", 40), 40.0, 5.0);
}

/* 93.7 quarters a minute are 640341515.5 ns: the plan's tempo is not quite that. */
Test(demo_above, the_tempo_itself_is_not_above_it_however_it_is_rounded) {
    cr_expect_lt(fabs(left_late_ms("late-left:40@93.7", 93.7)), 5.0);
    cr_expect_lt(fabs(left_late_ms("late-left:40@66.6", 66.6)), 5.0);
}

Test(demo_above, of_several_faults_each_has_its_own_tempo) {
    cr_expect_float_eq(left_late_ms("late@120,late-left:40@70", 92), 40.0, 5.0);
    cr_expect_lt(fabs(left_late_ms("late@70,late-left:40@120", 92)), 5.0);
}

Test(demo_above, a_slow_plan_takes_no_notice_of_the_fault_at_all) {
    cr_expect_eq(left_late_ms("late-left:40@92", 80), left_late_ms("none", 80));
}

Test(demo_above, reads_the_tempo_behind_name_and_size) {
    static const struct {
        const char *text;
        double size, above;
    } rows[] = {{"late-left", 25, 0},    {"late-left@92", 25, 92}, {"late-left:30@92.5", 30, 92.5},
                {"late-left:30", 30, 0}, {"late-left@20", 25, 20}, {"late-left@400", 25, 400}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_demo_fault fault;
        struct eh_error error = {0};
        cr_assert_eq(eh_demo_fault_read(&fault, rows[i].text, &error), EH_OK, "%s", error.text);
        cr_expect_eq(fault.kind, EH_DEMO_LATE_HAND);
        cr_expect_eq(fault.size, rows[i].size, "%s", rows[i].text);
        cr_expect_eq(fault.above_bpm, rows[i].above, "%s", rows[i].text);
    }
}

Test(demo_above, says_what_is_wrong_with_a_tempo) {
    static const struct {
        const char *text, *part;
        enum eh_status status;
    } rows[] = {{"late-left@", "a number from 20 to 400, not ''", EH_OUT_OF_RANGE},
                {"late-left@19.9", "not '19.9'", EH_OUT_OF_RANGE},
                {"late-left@400.1", "not '400.1'", EH_OUT_OF_RANGE},
                {"late-left:30@fast", "not 'fast'", EH_OUT_OF_RANGE},
                {"late-left@92:30", "not '92:30'", EH_OUT_OF_RANGE},
                {"late-lft@92", "late-left", EH_NOT_FOUND},
                {"none@92", "no fault 'none'", EH_NOT_FOUND},
                {"@92", "no fault ''", EH_NOT_FOUND}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_demo_fault fault;
        struct eh_error error = {0};
        cr_expect_eq(eh_demo_fault_read(&fault, rows[i].text, &error), rows[i].status, "%s",
                     rows[i].text);
        cr_expect(strstr(error.text, rows[i].part) != NULL, "%s: %s", rows[i].text, error.text);
    }
}
