/* A player who starts late, stops, skips a bar or plays one twice. */
#include <criterion/criterion.h>

#include "exercises.h"
#include "following.h"

static struct outcome follow_course(const char *name, struct player player, double bpm,
                                    struct eh_plan *plan, struct eh_exercise **exercise,
                                    struct performance *p) {
    *exercise = read_exercise(name);
    *plan = plan_at(*exercise, bpm, 2000.0, 1);
    player_play(&player, plan, p);
    return follow(plan, p, AT_ONCE);
}

Test(follow_course, names_a_late_start_and_a_stop_and_goes_on_afterwards) {
    struct eh_plan plan;
    struct eh_exercise *exercise;
    struct performance p;
    struct player player = player_default(5);
    player.late_start = 9;
    struct outcome o = follow_course("accents-over-taps", player, 100.0, &plan, &exercise, &p);
    cr_assert_eq(o.course_count, 1);
    cr_expect_eq(o.courses[0].kind, EH_COURSE_LATE_START);
    cr_expect_gt(performance_f(&p, &plan, o.matches), 0.999);
    drop(&o);
    performance_free(&p);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);

    player = player_default(6);
    player.stop_bar = 4;
    player.stop_bars = 2;
    o = follow_course("accents-over-taps", player, 100.0, &plan, &exercise, &p);
    cr_assert_eq(o.course_count, 1);
    cr_expect_eq(o.courses[0].kind, EH_COURSE_STOP);
    cr_expect_eq(plan.bars[plan.due[o.courses[0].due].bar].written, 5);
    cr_expect_gt(performance_f(&p, &plan, o.matches), 0.999);
    drop(&o);
    performance_free(&p);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}

/* Bars that differ in rhythm, so that a bar too few or too many can be told. */
static const char varied[] =
    "metre: 4/4\n"
    "| 4:RL 8:RL 4:R | 8:RL 16:RLRL 4:RL | 16:RLRL 8:RL 4:R 8:RL | 4:R - 8:RLRL |\n"
    "| 8:RLRL 4:RL | 16:RLRL RLRL 4:R - | 4:RLR 8:RL | 8:R 4:L R L 8:R |\n"
    "| 8:RL 4:R 16:RLRL 4:R | 4:R 8:RL 4:RL | 16:RLRL 4:R 8:RL 4:R | 4:RLR - |\n";

Test(follow_course, goes_along_when_a_bar_is_skipped_or_repeated) {
    struct eh_exercise *exercise = parse_exercise(varied);
    cr_assert_not_null(exercise);
    double sum = 0.0;
    int named = 0;
    enum { RUNS = 40 };
    for (int i = 0; i < RUNS; i++) {
        struct eh_plan plan = plan_at(exercise, 70.0 + 5.0 * (i % 10), 2000.0, 1);
        struct player player = player_default((uint64_t)i + 77);
        const bool skip = i % 2 == 0;
        player.skip_bar = skip ? 2 + i % 7 : -1;
        player.repeat_bar = skip ? -1 : 2 + i % 7;
        struct performance p;
        player_play(&player, &plan, &p);
        struct outcome o = follow(&plan, &p, AT_ONCE);
        sum += performance_f(&p, &plan, o.matches);
        named +=
            o.course_count > 0 && o.courses[0].kind == (skip ? EH_COURSE_SKIP : EH_COURSE_REPEAT);
        drop(&o);
        performance_free(&p);
        eh_plan_deinit(&plan);
    }
    cr_expect_geq(sum / RUNS, 0.9, "F %.4f", sum / RUNS);
    cr_expect_geq(named, RUNS * 3 / 4, "%d of %d named", named, RUNS);
    eh_exercise_free(exercise);
}

/* Many of the shipped exercises' bars are alike, where nobody could tell which one was left out or
 * played twice: these are floors, not aims. */
Test(follow_course, goes_along_with_most_skips_and_repeats_of_the_shipped_exercises,
     .timeout = 100) {
    struct player player = player_default(1);
    player.missed = 0.01;
    player.extra = 0.01;
    player.skip_bar = 3;
    const struct figure skipped = figure_of(player, 4);
    cr_expect_geq(skipped.sum / skipped.runs, 0.87, "F %.4f", skipped.sum / skipped.runs);
    player.skip_bar = -1;
    player.repeat_bar = 3;
    const struct figure repeated = figure_of(player, 4);
    cr_expect_geq(repeated.sum / repeated.runs, 0.68, "F %.4f", repeated.sum / repeated.runs);
    player.repeat_bar = -1;
    player.stop_bar = 3;
    player.stop_bars = 2;
    const struct figure stopped = figure_of(player, 4);
    cr_expect_geq(stopped.sum / stopped.runs, 0.998, "F %.4f", stopped.sum / stopped.runs);
}

/* Four bars that differ, three times over: from any bar the same four bars lie around. */
static const char recurring[] =
    "metre: 4/4\n"
    "|: 4:RL 8:RL 4:R | 8:RL 16:RLRL 4:RL | 16:RLRL 8:RL 4:R 8:RL | 4:R - 8:RLRL :|\n"
    "| 4:RL 8:RL 4:R | 8:RL 16:RLRL 4:RL | 16:RLRL 8:RL 4:R 8:RL | 4:R - 8:RLRL |\n";

Test(follow_course, takes_the_nearest_of_the_places_where_a_player_may_have_gone_on) {
    struct eh_exercise *exercise = parse_exercise(recurring);
    cr_assert_not_null(exercise);
    for (int bar = 4; bar <= 6; bar++) {
        struct eh_plan plan = plan_at(exercise, 100.0, 2000.0, 1);
        struct player player = player_default((uint64_t)bar);
        player.skip_bar = bar;
        struct performance p;
        player_play(&player, &plan, &p);
        struct outcome o = follow(&plan, &p, AT_ONCE);
        cr_expect_gt(performance_f(&p, &plan, o.matches), 0.9, "bar %d: F %.3f", bar,
                     performance_f(&p, &plan, o.matches));
        drop(&o);
        performance_free(&p);
        eh_plan_deinit(&plan);
    }
    eh_exercise_free(exercise);
}
