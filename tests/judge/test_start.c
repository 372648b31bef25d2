/* Where in a take the exercise begins, and which of two readings of a fast beginning is right. */
#include <criterion/criterion.h>
#include <stdlib.h>

#include "exercises.h"
#include "player.h"
#include "start.h"

/* A take of PERFORMANCE in 4/4 at BPM whose tick 0 is the file's beginning. */
static struct eh_take take_of(const struct performance *p, double bpm) {
    struct eh_take take = {.resolution_ns = EH_NS_PER_MS};
    cr_assert_eq(eh_tempo_map_init(&take.click, 0, 0, eh_ns_per_quarter(bpm)), EH_OK);
    cr_assert_eq(eh_take_add_metre(&take, (struct eh_metre_change){0, 4, 4}), EH_OK);
    for (size_t i = 0; i < p->count; i++) {
        cr_assert_eq(eh_take_add(&take, &p->hits[i]), EH_OK);
    }
    return take;
}

static enum eh_status find(const struct eh_exercise *exercise, const struct eh_take *take,
                           eh_ticks *out_start) {
    struct eh_pad pad;
    struct eh_error error;
    const struct eh_plan_request request = {0};
    eh_pad_init_default(&pad);
    return eh_find_start(exercise, take, &pad, &request, out_start, &error);
}

static struct eh_plan plan_after(const struct eh_exercise *exercise, double bpm, int bars) {
    return plan_at(exercise, bpm, bars * 4 * 60000.0 / bpm, 1);
}

Test(start, is_found_also_when_the_first_strokes_are_missing) {
    for (int e = 0; shipped_exercises[e] != NULL; e++) {
        struct eh_exercise *exercise = read_exercise(shipped_exercises[e]);
        for (int i = 0; i < 12; i++) {
            const double bpm = 60.0 + 10.0 * i;
            struct eh_plan plan = plan_after(exercise, bpm, 1 + i % 3);
            struct player player = player_default((uint64_t)i + 5);
            player.late_start = i % 4;
            player.missed = 0.03;
            struct performance p;
            player_play(&player, &plan, &p);
            struct eh_take take = take_of(&p, bpm);
            eh_ticks start = -1;
            cr_expect_eq(find(exercise, &take, &start), EH_OK);
            cr_expect_eq(start, (1 + i % 3) * 4 * EH_TICKS_PER_QUARTER, "%s at %.0f: beat %.2f",
                         shipped_exercises[e], bpm, (double)start / EH_TICKS_PER_QUARTER);
            eh_take_deinit(&take);
            performance_free(&p);
            eh_plan_deinit(&plan);
        }
        eh_exercise_free(exercise);
    }
}

Test(start, may_be_the_last_beat_that_is_played_and_played_early) {
    struct eh_exercise *exercise = parse_exercise("metre: 4/4\n| 4:R - 2:- |\n");
    const struct eh_hit early = {
        .at_ns = 1985 * EH_NS_PER_MS, .velocity = 60 * EH_VELOCITY_UNIT, .note = 38};
    struct performance p = {.hits = (struct eh_hit *)&early, .count = 1};
    struct eh_take take = take_of(&p, 120.0);
    eh_ticks start = -1;
    cr_expect_eq(find(exercise, &take, &start), EH_OK);
    cr_expect_eq(start, 4 * EH_TICKS_PER_QUARTER);
    eh_take_deinit(&take);
    eh_exercise_free(exercise);
}

/* Seven even quarters from a bar line on: the last of eight strokes was left out, or the first of
 * eight that began a beat before. */
Test(start, falls_on_a_bar_line_where_beats_fit_alike) {
    struct eh_exercise *exercise = parse_exercise("metre: 4/4\n| 4:RLRL | 4:RLRL |\n");
    struct eh_hit hits[7];
    for (int i = 0; i < 7; i++) {
        hits[i] = (struct eh_hit){.at_ns = (int64_t)(i + 4) * 500 * EH_NS_PER_MS,
                                  .velocity = 60 * EH_VELOCITY_UNIT,
                                  .note = 38};
    }
    const struct performance p = {.hits = hits, .count = 7};
    struct eh_take take = take_of(&p, 120.0);
    eh_ticks start = -1;
    cr_expect_eq(find(exercise, &take, &start), EH_OK);
    cr_expect_eq(start, 4 * EH_TICKS_PER_QUARTER, "beat %.2f",
                 (double)start / EH_TICKS_PER_QUARTER);
    eh_take_deinit(&take);
    eh_exercise_free(exercise);
}

Test(start, is_refused_where_the_exercise_is_not) {
    struct eh_exercise *played = parse_exercise("metre: 4/4\n| 2:R L | 2:R L | 2:R L | 2:R L |\n");
    struct eh_exercise *other = read_exercise("double-strokes");
    struct eh_plan plan = plan_after(played, 120.0, 1);
    const struct player player = player_default(3);
    struct performance p;
    player_play(&player, &plan, &p);
    struct eh_take take = take_of(&p, 120.0);
    eh_ticks start = -1;
    cr_expect_eq(find(other, &take, &start), EH_NO_FIT);
    eh_take_deinit(&take);
    performance_free(&p);
    eh_plan_deinit(&plan);
    eh_exercise_free(played);
    eh_exercise_free(other);
}

/* "The first stroke was left out" and "everything is one spacing late" look alike until the end:
 * 32nds at 120 are 63 ms apart. */
Test(start, of_a_fast_roll_is_read_from_the_whole_take) {
    struct eh_exercise *exercise = parse_exercise(
        "metre: 4/4\n| 16:R/L/R/L/ R/L/R/L/ R/L/R/L/ R/L/R/L/ | 16:R/L/R/L/ R/L/R/L/ 2:R |\n");
    int right = 0;
    enum { RUNS = 60 };
    for (int i = 0; i < RUNS; i++) {
        struct eh_plan plan = plan_at(exercise, 120.0, 2000.0, 1);
        struct player player = player_default((uint64_t)i * 31 + 7);
        player.late_start = i % 2; /* left out, or late by most of a spacing */
        player.delay_ms = i % 2 == 0 ? 45.0 : -8.0;
        player.scatter_ms = 5.0;
        player.wander_ms = 2.0;
        struct performance p;
        player_play(&player, &plan, &p);
        const struct eh_take take = {.hits = p.hits, .count = p.count};
        struct eh_pad pad;
        eh_pad_init_default(&pad);
        struct eh_match *matches = calloc(plan.due_count, sizeof *matches);
        struct eh_fate *fates = calloc(p.count, sizeof *fates);
        double cost = 0.0;
        cr_assert_eq(eh_follow_take(&plan, &take, &pad, matches, fates, NULL, NULL, &cost), EH_OK);
        right += performance_f(&p, &plan, matches) > 0.99;
        free(matches);
        free(fates);
        performance_free(&p);
        eh_plan_deinit(&plan);
    }
    cr_expect_geq(right, RUNS - 1, "%d of %d", right, RUNS);
    eh_exercise_free(exercise);
}
