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

static void go(struct player *p, int from, int to) {
    for (int bar = from; bar < to && p->way_count < WAY_MOST; bar++) {
        p->way[p->way_count++] = (struct way_step){bar, 1.0};
    }
}

static int place(const struct player *p, const struct eh_plan *plan) {
    return 2 + (int)(p->seed % (uint64_t)(plan->bar_count - 4));
}

static void skip(struct player *p, const struct eh_plan *plan) {
    go(p, 0, place(p, plan));
    go(p, place(p, plan) + 1, (int)plan->bar_count);
}

static void repeat(struct player *p, const struct eh_plan *plan) {
    go(p, 0, place(p, plan));
    go(p, place(p, plan) - 1, (int)plan->bar_count);
}

static void miss_two_bars(struct player *p, const struct eh_plan *plan) {
    go(p, 0, place(p, plan));
    go(p, WAY_SILENT, WAY_SILENT + 1);
    go(p, WAY_SILENT, WAY_SILENT + 1);
    go(p, place(p, plan) + 2, (int)plan->bar_count);
}

static void wait_a_bar(struct player *p, const struct eh_plan *plan) {
    go(p, 0, place(p, plan));
    go(p, WAY_SILENT, WAY_SILENT + 1);
    go(p, place(p, plan), (int)plan->bar_count);
}

static void break_off_and_take_again(struct player *p, const struct eh_plan *plan) {
    go(p, 0, place(p, plan));
    p->way[p->way_count - 1].share = 0.5;
    go(p, place(p, plan) - 1, (int)plan->bar_count);
}

static void pick_up_anywhere(struct player *p, const struct eh_plan *plan) {
    go(p, 0, place(p, plan));
    go(p, WAY_SILENT, WAY_SILENT + 1);
    go(p, (int)(p->seed * 7 % (uint64_t)(plan->bar_count - 2)), (int)plan->bar_count);
}

static void add_a_bar(struct player *p, const struct eh_plan *plan) {
    go(p, 0, place(p, plan));
    go(p, WAY_OTHER, WAY_OTHER + 1);
    go(p, place(p, plan), (int)plan->bar_count);
}

static void lose_a_hand(struct player *p, const struct eh_plan *plan) {
    p->hand_lost_bar = place(p, plan);
    go(p, 0, (int)plan->bar_count);
}

/* Floors under what tests/judge/follow_figures measures; many of the shipped exercises' bars are
 * alike, where nobody could tell which one was left out or played twice. */
Test(follow_course, goes_along_with_players_who_leave_the_written_way, .timeout = 200) {
    static const struct {
        const char *name;
        void (*lay)(struct player *player, const struct eh_plan *plan);
        double floor;
        double strayed; /* least share of runs in which a skip or a repeat is told */
    } rows[] = {{"skip", skip, 0.99, 0.97},
                {"repeat", repeat, 0.99, 0.99},
                {"two bars missed", miss_two_bars, 0.99, 0.0},
                {"a bar waited for", wait_a_bar, 0.99, 0.0},
                {"a bar broken off and taken again", break_off_and_take_again, 0.98, 0.99},
                {"picked up at any bar", pick_up_anywhere, 0.985, 0.8},
                {"a bar of something else", add_a_bar, 0.97, 0.0},
                {"a hand lost for a bar", lose_a_hand, 0.998, 0.0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct player player = player_default(1);
        player.missed = 0.01;
        player.extra = 0.01;
        const struct figure f = figure_along(player, 3, rows[i].lay);
        cr_expect_geq(f.music / f.runs, rows[i].floor, "%s: F %.4f", rows[i].name,
                      f.music / f.runs);
        cr_expect_geq(f.strayed, rows[i].strayed * f.runs, "%s: told in %d of %d", rows[i].name,
                      f.strayed, f.runs);
    }
}

Test(follow_course, goes_along_with_a_stop_of_two_bars, .timeout = 100) {
    struct player player = player_default(1);
    player.missed = 0.01;
    player.extra = 0.01;
    player.stop_bar = 3;
    player.stop_bars = 2;
    const struct figure stopped = figure_of(player, 4);
    cr_expect_geq(stopped.sum / stopped.runs, 0.998, "F %.4f", stopped.sum / stopped.runs);
}

/* Nothing is made up where nothing happened. */
Test(follow_course, tells_no_skip_or_repeat_of_players_who_only_play_badly, .timeout = 200) {
    struct player player = player_default(1);
    player.missed = 0.05;
    player.extra = 0.05;
    player.echoed = 0.03;
    player.drift = -0.05;
    player.delay_ms = 40.0;
    const struct figure f = figure_of(player, 4);
    cr_expect_leq(f.strayed, f.runs / 100, "%d of %d", f.strayed, f.runs);
    cr_expect_geq(f.music / f.runs, 0.993, "F %.4f", f.music / f.runs);
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
