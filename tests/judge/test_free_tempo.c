/* Finding the player's own tempo. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "exercises.h"
#include "free_run.h"

/* Onsets found: F with a window of 50 ms, each used once (C. Raffel et al., "mir_eval: A
 * transparent implementation of common MIR metrics", ISMIR 2014: onset.f_measure, whose matching is
 * the largest there is; between rising rows of points that lie further apart than the window
 * nearest-first in order is as large). */
static double onset_f(const double *reference, size_t n, const double *found, size_t m) {
    size_t i = 0;
    size_t k = 0;
    size_t matched = 0;
    while (i < n && k < m) {
        const double off = found[k] - reference[i];
        if (fabs(off) <= 50.0) {
            matched++;
            i++;
            k++;
        } else if (off < 0.0) {
            k++;
        } else {
            i++;
        }
    }
    return n + m == 0 ? 0.0 : 2.0 * (double)matched / (double)(n + m);
}

Test(free_tempo, the_outside_measure_is_computed_as_published) {
    /* P 2/4, R 2/3: F = 2 P R / (P + R) = 4/7. */
    static const double reference[] = {0.0, 500.0, 1000.0};
    static const double found[] = {20.0, 510.0, 1060.0, 1500.0};
    cr_expect_float_eq(onset_f(reference, 3, found, 4), 0.571429, 1e-6);
}

struct sums {
    int runs;
    double f, tempo_off, beats;
};

/* The beats of the found map against the player's own, to the last stroke, as beat trackers are
 * measured. */
static double beats_f(const struct free_run *run, const struct eh_free_tempo *tempo) {
    enum { MOST = 256 };
    double truth[MOST];
    double found[MOST];
    size_t n = 0;
    const eh_ticks last = run->plan.due[run->plan.due_count - 1].at;
    for (eh_ticks at = 0; at <= last && n < MOST; at += EH_TICKS_PER_QUARTER) {
        truth[n] = (double)eh_tempo_map_ns(&run->truth, at) / 1e6;
        found[n++] = (double)eh_tempo_map_ns(&tempo->map, at) / 1e6;
    }
    return onset_f(truth, n, found, n);
}

static void one(const char *name, const struct free_player *player, struct sums *sums) {
    struct eh_exercise *exercise = read_exercise(name);
    struct free_run run;
    struct eh_free_tempo tempo;
    struct eh_error error;
    free_run_play(&run, exercise, player);
    cr_assert_eq(free_run_find(&run, player->taps, &tempo, &error), EH_OK, "%s at %.0f: %s", name,
                 player->bpm, error.text);
    sums->runs++;
    sums->f += free_run_f(&run, &tempo);
    sums->beats += beats_f(&run, &tempo);
    const double off = 100.0 * fabs(tempo.bpm / free_run_bpm(&run, 0.0) - 1.0);
    sums->tempo_off = fmax(sums->tempo_off, off);
    eh_free_tempo_deinit(&tempo);
    free_run_drop(&run);
    eh_exercise_free(exercise);
}

static const double tempi[] = {50.0, 80.0, 120.0, 160.0, 180.0};

static struct sums all(struct free_player player) {
    struct sums sums = {0};
    for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
        for (size_t t = 0; t < 5; t++) {
            player.bpm = tempi[t];
            player.seed += 7919;
            one(shipped_exercises[x], &player, &sums);
        }
    }
    return sums;
}

Test(free_tempo, finds_a_plain_players_tempo_and_strokes) {
    const struct sums sums = all(free_player_default(1, 0.0));
    cr_expect_geq(sums.f / sums.runs, 0.998, "F %.5f", sums.f / sums.runs);
    cr_expect_leq(sums.tempo_off, 0.3, "tempo off by %.3f %%", sums.tempo_off);
    cr_expect_geq(sums.beats / sums.runs, 0.999, "beats %.4f", sums.beats / sums.runs);
}

Test(free_tempo, finds_it_through_drift_with_strokes_left_out_and_added) {
    for (int way = -1; way <= 1; way += 2) {
        struct free_player player = free_player_default(2, 0.0);
        player.course = FREE_DRIFT;
        player.amount = 0.08 * way;
        player.missed = player.extra = 0.04;
        player.echoed = 0.02;
        const struct sums sums = all(player);
        cr_expect_geq(sums.f / sums.runs, 0.99, "F %.5f", sums.f / sums.runs);
        cr_expect_leq(sums.tempo_off, 0.3, "tempo off by %.3f %%", sums.tempo_off);
        cr_expect_geq(sums.beats / sums.runs, 0.99, "beats %.4f", sums.beats / sums.runs);
    }
}

Test(free_tempo, goes_along_with_steps_and_with_rubato) {
    for (int way = -1; way <= 1; way += 2) {
        struct free_player player = free_player_default(3, 0.0);
        player.course = FREE_STEP;
        player.amount = 0.05 * way;
        struct sums sums = all(player);
        cr_expect_geq(sums.f / sums.runs, 0.998, "step %d: F %.5f", way, sums.f / sums.runs);
        player.course = FREE_RUBATO;
        player.amount = 0.04;
        player.wave_phase = way > 0 ? 0.0 : 0.25;
        sums = all(player);
        cr_expect_geq(sums.f / sums.runs, 0.998, "rubato %d: F %.5f", way, sums.f / sums.runs);
        cr_expect_geq(sums.beats / sums.runs, 0.999);
    }
}

Test(free_tempo, takes_a_count_off_for_the_tempo_and_for_no_strokes) {
    struct free_player player = free_player_default(4, 0.0);
    player.taps = 4;
    const struct sums sums = all(player);
    cr_expect_geq(sums.f / sums.runs, 0.998, "F %.5f", sums.f / sums.runs);
    cr_expect_leq(sums.tempo_off, 0.3);
}

/* A row of even strokes that never differ: only a count-off can say what they are. */
Test(free_tempo, a_count_off_settles_what_the_notes_leave_open) {
    struct eh_exercise *e = parse_exercise("metre: 4/4\n|: 16:RLRL RLRL RLRL RLRL :|x4\n");
    struct free_player player = free_player_default(8, 96.0);
    struct free_run run;
    struct eh_free_tempo tempo;
    struct eh_error error;
    player.taps = 4;
    free_run_play(&run, e, &player);
    cr_assert_eq(free_run_find(&run, 4, &tempo, &error), EH_OK, "%s", error.text);
    cr_expect_float_eq(tempo.bpm, 96.0, 0.5);
    cr_expect_float_eq(tempo.count_off_bpm, 96.0, 3.0);
    cr_expect_geq(free_run_f(&run, &tempo), 0.998);
    eh_free_tempo_deinit(&tempo);
    cr_expect_eq(free_run_find(&run, 1, &tempo, &error), EH_OUT_OF_RANGE);
    cr_expect_eq(free_run_find(&run, 33, &tempo, &error), EH_OUT_OF_RANGE);
    cr_expect_eq(free_run_find(&run, 8, &tempo, &error), EH_OUT_OF_RANGE);
    cr_expect_not_null(strstr(error.text, "no count-off"), "%s", error.text);
    free_run_drop(&run);
    eh_exercise_free(e);
}

Test(free_tempo, knows_a_halt_and_keeps_it_out_of_the_tempo) {
    struct eh_exercise *e = read_exercise("five-stroke-rolls");
    struct free_player player = free_player_default(5, 92.0);
    player.halt_bar = 4;
    player.halt_ms = 1850.0;
    struct free_run run;
    struct eh_free_tempo tempo;
    struct eh_error error;
    free_run_play(&run, e, &player);
    cr_assert_eq(free_run_find(&run, 0, &tempo, &error), EH_OK, "%s", error.text);
    cr_assert_eq(tempo.halt_count, 1);
    cr_expect_eq(run.plan.bars[run.plan.due[tempo.halts[0].due].bar].written, 5);
    cr_expect_float_eq((double)tempo.halts[0].excess_ns / 1e6, 1850.0, 40.0);
    cr_expect_float_eq(tempo.bpm, 92.0, 0.3);
    cr_expect_geq(free_run_f(&run, &tempo), 0.998);
    eh_free_tempo_deinit(&tempo);
    free_run_drop(&run);
    eh_exercise_free(e);
}

Test(free_tempo, is_the_same_whatever_the_takes_clock_and_click_say) {
    struct eh_exercise *e = read_exercise("nine-stroke-rolls");
    const struct free_player player = free_player_default(6, 104.0);
    struct free_run run;
    struct eh_free_tempo a;
    struct eh_free_tempo b;
    struct eh_error error;
    free_run_play(&run, e, &player);
    cr_assert_eq(free_run_find(&run, 0, &a, &error), EH_OK);
    const int64_t moved_ns = 987654321987;
    for (size_t i = 0; i < run.p.count; i++) {
        run.p.hits[i].at_ns += moved_ns;
    }
    cr_assert_eq(eh_tempo_map_change(&run.take.click, EH_TICKS_PER_QUARTER, 123456789), EH_OK);
    cr_assert_eq(free_run_find(&run, 0, &b, &error), EH_OK);
    cr_assert_eq(a.map.count, b.map.count);
    for (size_t i = 0; i < a.map.count; i++) {
        cr_assert_eq(a.map.segments[i].at, b.map.segments[i].at);
        cr_assert_eq(a.map.segments[i].at_ns + moved_ns, b.map.segments[i].at_ns);
    }
    eh_free_tempo_deinit(&a);
    eh_free_tempo_deinit(&b);
    free_run_drop(&run);
    eh_exercise_free(e);
}

Test(free_tempo, hands_and_marks_do_not_move_it_but_a_gap_of_minutes_before_it_is_no_matter) {
    struct eh_exercise *e = read_exercise("single-strokes");
    struct free_player player = free_player_default(7, 88.0);
    struct free_run run;
    struct eh_free_tempo tempo;
    struct eh_error error;
    player.begin_ms = 200000.0;
    free_run_play(&run, e, &player);
    run.p.hits[0].at_ns = 1000; /* a knock on the pad, minutes before */
    cr_assert_eq(free_run_find(&run, 0, &tempo, &error), EH_OK, "%s", error.text);
    cr_expect_float_eq(tempo.bpm, 88.0, 0.3);
    eh_free_tempo_deinit(&tempo);
    free_run_drop(&run);
    eh_exercise_free(e);
}

static enum eh_status ask_for(const char *name, struct eh_hit *hits, size_t count) {
    struct eh_exercise *e = read_exercise(name);
    const struct eh_take take = {.hits = hits, .count = count};
    const struct eh_free_request request = {0};
    struct eh_pad pad;
    struct eh_free_tempo tempo;
    eh_pad_init_default(&pad);
    const enum eh_status status = eh_free_tempo_find(&tempo, e, &take, &pad, &request, NULL);
    eh_free_tempo_deinit(&tempo);
    eh_exercise_free(e);
    return status;
}

Test(free_tempo, refuses_hits_at_random) {
    for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
        struct eh_hit hits[250];
        uint64_t state = 99 + x;
        double ms = 0.0;
        for (size_t i = 0; i < 250; i++) {
            const double u = random_unit(&state);
            ms += x % 2 == 0 ? -150.0 * log(1.0 - u) : 60.0 * pow(10.0, u);
            hits[i] = (struct eh_hit){llround(ms * 1e6), 60 * EH_VELOCITY_UNIT, 38, 9};
        }
        cr_expect_eq(ask_for(shipped_exercises[x], hits, 250), EH_NO_FIT, "%s",
                     shipped_exercises[x]);
    }
}

/* Exercises of another rhythm. Those that share their rhythm for most of their length cannot be
 * told apart by times, and are not in the list. */
Test(free_tempo, refuses_another_exercise) {
    static const struct {
        const char *played, *asked;
    } pairs[] = {{"five-stroke-rolls", "nine-stroke-rolls"},
                 {"nine-stroke-rolls", "five-stroke-rolls"},
                 {"five-stroke-rolls", "single-strokes"},
                 {"single-strokes", "double-strokes"},
                 {"double-strokes", "five-stroke-rolls"},
                 {"concert-accent-line", "single-strokes"},
                 {"paradiddles-with-accents", "nine-stroke-rolls"}};
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        struct eh_exercise *e = read_exercise(pairs[i].played);
        const struct free_player player = free_player_default(i, 90.0);
        struct free_run run;
        free_run_play(&run, e, &player);
        cr_expect_eq(ask_for(pairs[i].asked, run.p.hits, run.p.count), EH_NO_FIT, "%s for %s",
                     pairs[i].played, pairs[i].asked);
        cr_expect_eq(ask_for(pairs[i].played, run.p.hits, run.p.count), EH_OK);
        free_run_drop(&run);
        eh_exercise_free(e);
    }
}

Test(free_tempo, says_what_is_wrong_with_too_little) {
    struct eh_hit hits[2] = {{0, 60 * EH_VELOCITY_UNIT, 38, 9}, {1, 60 * EH_VELOCITY_UNIT, 38, 9}};
    cr_expect_eq(ask_for("single-strokes", hits, 0), EH_EMPTY);
    cr_expect_eq(ask_for("single-strokes", hits, 1), EH_NO_FIT);
    cr_expect_eq(ask_for("single-strokes", hits, 2), EH_NO_FIT);
}
