#include <criterion/criterion.h>
#include <math.h>

#include "evenhand/demo.h"
#include "text_exercise.h"

/* At 100 a beat lasts 600 ms. */
static const char music[] = "4: R L R L | R L R L | R L R L | R L R L | R L R L | R L R L";

static void read_fault(struct eh_demo_request *request, const char *fault) {
    struct eh_error error = {0};
    cr_assert_eq(eh_demo_faults_read(request->faults, &request->fault_count, fault, &error), EH_OK,
                 "%s", error.text);
}

static void make_hits(const struct eh_plan *plan, const char *fault, const bool *silent,
                      struct eh_take *out) {
    struct eh_demo_request request = {.seed = 1, .exact = true, .silent = silent};
    struct eh_error error = {0};
    struct eh_demo demo;
    read_fault(&request, fault);
    cr_assert_eq(eh_demo_init(&demo, plan, &request, &error), EH_OK, "%s", error.text);
    cr_assert_eq(eh_demo_hits(&demo, out), EH_OK);
}

/* OUT's hits bear how late they are. */
static void play(const char *fault, const bool *silent, int passes, struct eh_take *out) {
    struct eh_plan plan;
    struct eh_exercise *exercise = text_exercise(NULL, music);
    text_plan(&plan, exercise, 100, passes, 4 * EH_TICKS_PER_QUARTER);
    make_hits(&plan, fault, silent, out);
    cr_assert_eq(out->count, plan.due_count);
    for (size_t i = 0; i < plan.due_count; i++) {
        out->hits[i].at_ns -= plan.due[i].at_ns;
    }
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}

static void check_late(const struct eh_take *take, size_t stroke, double wanted_ms) {
    const double late_ms = (double)take->hits[stroke].at_ns / (double)EH_NS_PER_MS;
    cr_expect(fabs(late_ms - wanted_ms) < 0.001, "stroke %zu: %.3f ms, not %.3f", stroke, late_ms,
              wanted_ms);
}

/* 2 % faster: 600 - 600/1.02 = 11.765 ms a beat; half of it is left after each beat. */
Test(demo_silent, its_beat_goes_its_own_way_and_comes_back) {
    static const bool silent[6] = {false, true, true, false, false, false};
    struct eh_take take = {.hits = NULL};
    play("own-tempo:2", silent, 1, &take);
    const double beat = 600.0 / 1.02 - 600.0;
    for (size_t i = 0; i < 4; i++) {
        check_late(&take, i, 0.0);
    }
    for (size_t i = 4; i <= 12; i++) {
        check_late(&take, i, (double)(i - 4) * beat);
    }
    /* 94.1 ms: more than half of it is more than 8 % of a beat, 48 ms, until 69.25 are left. */
    const double even = (-8.0 * beat - 48.0 / log(2.0)) / 48.0;
    for (size_t i = 13; i < 24; i++) {
        check_late(&take, i, -48.0 / log(2.0) * pow(0.5, (double)(i - 12) - even));
    }
    eh_take_deinit(&take);
}

Test(demo_silent, it_waits_no_more_than_it_can) {
    static const bool silent[6] = {true, true, true, true, false, false};
    struct eh_take take = {.hits = NULL};
    play("own-tempo:-4", silent, 1, &take);
    const double end = 9600.0 / 0.96 - 9600.0; /* 400 ms late */
    check_late(&take, 16, end);
    check_late(&take, 17, end - 48.0);
    check_late(&take, 20, end - 4 * 48.0);
    eh_take_deinit(&take);
}

Test(demo_silent, every_pass_begins_with_the_click) {
    static const bool silent[12] = {[5] = true, [11] = true};
    struct eh_take take = {.hits = NULL};
    play("own-tempo", silent, 2, &take);
    check_late(&take, 23, 3.0 * (600.0 / 1.04 - 600.0));
    check_late(&take, 24, 0.0);
    check_late(&take, 47, 3.0 * (600.0 / 1.04 - 600.0));
    eh_take_deinit(&take);
}

Test(demo_silent, with_the_click_throughout_it_does_not_show) {
    struct eh_take take = {.hits = NULL};
    play("own-tempo:4", NULL, 1, &take);
    for (size_t i = 0; i < take.count; i++) {
        check_late(&take, i, 0.0);
    }
    eh_take_deinit(&take);
}

Test(demo_silent, its_bars_are_those_without_a_click) {
    struct eh_demo_fault fault;
    struct eh_error error = {0};
    cr_assert_eq(eh_demo_fault_read(&fault, "own-tempo:4/3-4", &error), EH_OUT_OF_RANGE);
    cr_assert_eq(eh_demo_fault_read(&fault, "own-tempo:-30", &error), EH_OK);
    cr_assert_eq(eh_demo_fault_read(&fault, "own-tempo:-31", &error), EH_OUT_OF_RANGE);
}
