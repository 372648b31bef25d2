/* What is said of a run without a click. */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "exercises.h"
#include "free_run.h"

static const double tempi[] = {50.0, 80.0, 120.0, 160.0, 180.0};

struct told {
    int runs, steady, rushing, dragging, unclear, wandering;
    int same_runs;
};

static void count_tempo(const struct eh_judgement *j, struct told *told) {
    const struct eh_finding *f = free_run_finding(j, EH_ASPECT_TEMPO, EH_SIDE_BOTH);
    cr_assert_not_null(f);
    told->steady += f->verdict == EH_VERDICT_STEADY;
    told->rushing += f->direction == EH_DIRECTION_RUSHING;
    told->dragging += f->direction == EH_DIRECTION_DRAGGING;
    told->unclear += f->fault == EH_FAULT_UNCLEAR;
    told->wandering += strstr(f->text, "goes both ways") != NULL;
}

static bool same_verdicts(const struct eh_judgement *a, const struct eh_judgement *b) {
    if (a->finding_count != b->finding_count) {
        return false;
    }
    for (size_t i = 0; i < a->finding_count; i++) {
        const struct eh_finding *f = &a->findings[i];
        const struct eh_finding *g = &b->findings[i];
        if (f->aspect != EH_ASPECT_TEMPO &&
            (f->aspect != g->aspect || f->verdict != g->verdict || f->direction != g->direction)) {
            return false;
        }
    }
    return true;
}

static void play_one(const struct eh_exercise *e, const struct free_player *player,
                     struct told *told) {
    struct free_run run;
    free_run_play(&run, e, player);
    struct eh_judgement *free_one = free_run_judge(&run, 0);
    struct eh_judgement *to_click = free_run_judge_to_truth(&run);
    cr_assert_not_null(free_one);
    cr_assert_not_null(to_click);
    told->runs++;
    count_tempo(free_one, told);
    told->same_runs += same_verdicts(free_one, to_click);
    eh_judgement_free(free_one);
    eh_judgement_free(to_click);
    free_run_drop(&run);
}

static struct told play_all(struct free_player player, int seeds) {
    struct told told = {0};
    for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
        struct eh_exercise *e = read_exercise(shipped_exercises[x]);
        for (int k = 0; k < seeds; k++) {
            player.bpm = tempi[(x + (size_t)k) % 5];
            player.seed += 104729;
            play_one(e, &player, &told);
        }
        eh_exercise_free(e);
    }
    return told;
}

Test(free_verdicts, evenness_is_judged_as_to_the_true_click) {
    struct told sum = {0};
    for (int course = FREE_STEADY; course <= FREE_RUBATO; course++) {
        struct free_player player = free_player_default((uint64_t)course, 0.0);
        player.course = course;
        player.amount = 0.04;
        player.second_late[0] = course % 2 == 0 ? 0.25 : 0.0;
        const struct told told = play_all(player, 2);
        sum.runs += told.runs;
        sum.same_runs += told.same_runs;
    }
    cr_expect_geq(sum.same_runs * 100, sum.runs * 95, "%d of %d", sum.same_runs, sum.runs);
}

Test(free_verdicts, a_steady_tempo_is_steady) {
    const struct told told = play_all(free_player_default(21, 0.0), 5);
    cr_expect_eq(told.steady, told.runs, "%d of %d", told.steady, told.runs);
    cr_expect_eq(told.wandering, 0);
}

Test(free_verdicts, a_drift_is_told_with_its_direction) {
    struct free_player player = free_player_default(22, 0.0);
    player.course = FREE_DRIFT;
    player.amount = 0.08;
    struct told told = play_all(player, 3);
    cr_expect_geq(told.rushing * 100, told.runs * 95, "%d of %d", told.rushing, told.runs);
    cr_expect_eq(told.dragging + told.wandering, 0);
    player.amount = -0.08;
    told = play_all(player, 3);
    cr_expect_geq(told.dragging * 100, told.runs * 95, "%d of %d", told.dragging, told.runs);
    cr_expect_eq(told.rushing + told.wandering, 0);
}

Test(free_verdicts, rubato_is_told_and_not_called_drift) {
    for (int quarter = 0; quarter < 4; quarter++) {
        struct free_player player = free_player_default(23, 0.0);
        player.course = FREE_RUBATO;
        player.amount = 0.04;
        player.wave_phase = quarter / 4.0;
        const struct told told = play_all(player, 2);
        cr_expect_eq(told.rushing + told.dragging, 0, "phase %d: %d of %d", quarter,
                     told.rushing + told.dragging, told.runs);
        cr_expect_geq(told.wandering * 100, told.runs * 95, "phase %d: %d of %d", quarter,
                      told.wandering, told.runs);
    }
}

/* A player without any scatter who gets faster by exactly 5 % from the first beat to the last; the
 * last stroke lies a little before the end. */
Test(free_verdicts, the_numbers_are_the_players) {
    struct eh_exercise *e = read_exercise("accents-over-taps");
    struct free_player player = free_player_default(24, 100.0);
    struct free_run run;
    player.scatter_ms = player.wander_ms = 0.0;
    player.course = FREE_DRIFT;
    player.amount = 0.05;
    free_run_play(&run, e, &player);
    struct eh_judgement *j = free_run_judge(&run, 0);
    cr_assert_not_null(j);
    cr_expect(j->no_click);
    cr_expect(isnan(j->offset_ms));
    cr_expect_float_eq(j->drift_percent, 5.0, 0.3, "%.3f", j->drift_percent);
    cr_expect_float_eq(j->bpm, free_run_bpm(&run, 0.0), 0.05);
    cr_expect_lt(j->free_tempo.wander_percent, 0.3);
    cr_expect_float_eq((double)(j->start_ns - eh_tempo_map_ns(&run.truth, 0)) / 1e6, 0.0, 3.0);
    eh_judgement_free(j);
    free_run_drop(&run);
    eh_exercise_free(e);
}

Test(free_verdicts, a_wave_is_as_wide_as_it_was_played) {
    struct eh_exercise *e = read_exercise("accents-over-taps");
    struct free_player player = free_player_default(25, 100.0);
    struct free_run run;
    player.scatter_ms = player.wander_ms = 0.0;
    player.course = FREE_RUBATO;
    player.amount = 0.04;
    player.wave_phase = 0.25; /* 4 % faster at the beginning */
    free_run_play(&run, e, &player);
    struct eh_judgement *j = free_run_judge(&run, 0);
    cr_assert_not_null(j);
    cr_expect_float_eq(j->free_tempo.wander_percent, 4.0, 0.6, "%.3f",
                       j->free_tempo.wander_percent);
    eh_judgement_free(j);
    free_run_drop(&run);
    eh_exercise_free(e);
}

Test(free_verdicts, a_halt_is_a_stop_in_the_course_of_the_run) {
    struct eh_exercise *e = read_exercise("paradiddles-with-accents");
    struct free_player player = free_player_default(26, 84.0);
    struct free_run run;
    player.halt_bar = 6;
    player.halt_ms = 1700.0;
    free_run_play(&run, e, &player);
    struct eh_judgement *j = free_run_judge(&run, 0);
    cr_assert_not_null(j);
    cr_assert_eq(j->course_count, 1);
    cr_expect_eq(j->courses[0].kind, EH_COURSE_STOP);
    cr_expect_eq(j->plan.bars[j->plan.due[j->courses[0].due].bar].written, 7);
    cr_expect_eq(free_run_finding(j, EH_ASPECT_TEMPO, EH_SIDE_BOTH)->verdict, EH_VERDICT_STEADY);
    cr_expect_float_eq(j->bpm, 84.0, 0.3);
    eh_judgement_free(j);
    free_run_drop(&run);
    eh_exercise_free(e);
}

Test(free_verdicts, two_bars_are_too_short_to_tell_a_drift) {
    struct eh_exercise *e = parse_exercise("metre: 4/4\n| 8:RL RL RL RL | 4:R L R - |\n");
    const struct free_player player = free_player_default(27, 100.0);
    struct free_run run;
    free_run_play(&run, e, &player);
    struct eh_judgement *j = free_run_judge(&run, 0);
    cr_assert_not_null(j);
    const struct eh_finding *f = free_run_finding(j, EH_ASPECT_TEMPO, EH_SIDE_BOTH);
    cr_expect_eq(f->verdict, EH_VERDICT_UNCLEAR, "%s", f->text);
    cr_expect_float_eq(j->bpm, 100.0, 2.0);
    eh_judgement_free(j);
    free_run_drop(&run);
    eh_exercise_free(e);
}
