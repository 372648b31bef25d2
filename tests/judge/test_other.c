/* Somebody who plays another exercise is told so, and somebody who plays the right one badly is
 * not. */
#include <criterion/criterion.h>
#include <stdlib.h>

#include "exercises.h"
#include "player.h"
#include "start.h"

static double agreement(const struct eh_exercise *written, const struct eh_exercise *played,
                        double bpm, const struct player *player) {
    struct eh_plan plan = plan_at(written, bpm, 2000.0, 1);
    struct eh_plan other = plan_at(played, bpm, 2000.0, 1);
    struct performance p;
    player_play(player, &other, &p);
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    struct eh_match *matches = calloc(plan.due_count, sizeof *matches);
    struct eh_fate *fates = calloc(p.count + 1, sizeof *fates);
    const struct eh_take take = {.hits = p.hits, .count = p.count};
    double cost = 0.0;
    double agreed = 0.0;
    cr_assert_eq(
        eh_follow_take_agreeing(&plan, &take, &pad, matches, fates, NULL, NULL, &cost, &agreed),
        EH_OK);
    free(matches);
    free(fates);
    performance_free(&p);
    eh_plan_deinit(&plan);
    eh_plan_deinit(&other);
    return agreed;
}

static double least(const char *written, const char *played, double left_out) {
    struct eh_exercise *a = read_exercise(written);
    struct eh_exercise *b = read_exercise(played);
    double least = 1.0;
    for (int i = 0; i < 6; i++) {
        struct player player = player_default((uint64_t)i + 1);
        player.scatter_ms = 12.0;
        player.missed = left_out;
        player.extra = left_out;
        const double agreed = agreement(a, b, 60.0 + 40.0 * (i % 3), &player);
        least = agreed < least ? agreed : least;
    }
    eh_exercise_free(a);
    eh_exercise_free(b);
    return least;
}

/* Of clean playing, the most that six players at three tempi reach. */
static double most(const char *written, const char *played) {
    struct eh_exercise *a = read_exercise(written);
    struct eh_exercise *b = read_exercise(played);
    double most = 0.0;
    for (int i = 0; i < 6; i++) {
        struct player player = player_default((uint64_t)i + 1);
        const double agreed = agreement(a, b, 80.0 + 20.0 * (i % 3), &player);
        most = agreed > most ? agreed : most;
    }
    eh_exercise_free(a);
    eh_exercise_free(b);
    return most;
}

Test(other, exercise_of_another_rhythm_is_told) {
    static const char *const pairs[][2] = {
        {"single-strokes", "five-stroke-rolls"},
        {"single-strokes", "nine-stroke-rolls"},
        {"double-strokes", "five-stroke-rolls"},
        {"double-strokes", "accents-over-taps"},
        {"five-stroke-rolls", "nine-stroke-rolls"},
        {"five-stroke-rolls", "double-strokes"},
        {"nine-stroke-rolls", "five-stroke-rolls"},
        {"nine-stroke-rolls", "single-strokes"},
        {"accents-over-taps", "five-stroke-rolls"},
        {"concert-accent-line", "nine-stroke-rolls"},
        {"concert-accent-line", "five-stroke-rolls"},
        {"paradiddles-with-accents", "double-strokes"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        const double agreed = least(pairs[i][0], pairs[i][1], 0.0);
        cr_expect_lt(agreed, EH_LEAST_AGREEMENT, "%s played for %s: %.2f", pairs[i][1], pairs[i][0],
                     agreed);
    }
}

/* Strokes that come in order, but at other distances, are matched one by one and are not the
 * exercise: triplets for 16ths, 16ths for triplets. Nor is it one of which a beat was met by
 * chance.
 */
Test(other, same_number_of_strokes_at_other_distances_is_told) {
    static const char *const pairs[][2] = {
        {"rudiments/3-flams/28-swiss-army-triplet", "rudiments/2-diddles/16-single-paradiddle"},
        {"rudiments/3-flams/30-flam-drag", "rudiments/2-diddles/16-single-paradiddle"},
        {"rudiments/2-diddles/16-single-paradiddle", "rudiments/3-flams/21-flam-accent"},
        {"rudiments/1-rolls/07-five-stroke-roll", "rudiments/4-drags/31-drag"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        const double agreed = most(pairs[i][0], pairs[i][1]);
        cr_expect_lt(agreed, EH_LEAST_AGREEMENT, "%s played for %s: %.2f", pairs[i][1], pairs[i][0],
                     agreed);
    }
}

Test(other, way_of_playing_the_right_exercise_is_judged, .timeout = 100) {
    for (int e = 0; shipped_exercises[e] != NULL; e++) {
        const double agreed = least(shipped_exercises[e], shipped_exercises[e], 0.2);
        cr_expect_geq(agreed, EH_LEAST_AGREEMENT, "%s: %.2f", shipped_exercises[e], agreed);
    }
}

/* Two bars played over and over are the same leap again and again. */
Test(other, bars_looped_ten_times_are_the_exercise_all_the_same) {
    struct eh_exercise *exercise = read_exercise("five-stroke-rolls");
    struct player player = player_default(9);
    for (int i = 0; i < 24; i++) {
        const int bar = i < 4 ? i : 2 + i % 2;
        player.way[player.way_count++] = (struct way_step){bar, 1.0};
    }
    const double agreed = agreement(exercise, exercise, 90.0, &player);
    cr_expect_geq(agreed, EH_LEAST_AGREEMENT, "%.2f", agreed);
    eh_exercise_free(exercise);
}
