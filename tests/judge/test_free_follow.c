/* Where a player without a click is, while he plays. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/free_follow.h"
#include "exercises.h"
#include "failing_malloc.h"
#include "free_run.h"

static struct eh_free_follower *follow(const struct free_run *run, int taps) {
    struct eh_free_follower *follower = NULL;
    cr_assert_eq(eh_free_follower_new(&follower, &run->plan, &run->pad, taps, run->take.hits),
                 EH_OK);
    return follower;
}

/* The true beat's quarters a minute about a bar. */
static double true_bpm(const struct free_run *run, const struct eh_plan_bar *bar) {
    const double ns =
        (double)(eh_tempo_map_ns(&run->truth, bar->end) - eh_tempo_map_ns(&run->truth, bar->at));
    return 60e9 * (double)(bar->end - bar->at) / (double)EH_TICKS_PER_QUARTER / ns;
}

static uint32_t mains_of(const struct eh_plan *plan, size_t bar) {
    uint32_t count = 0;
    for (uint32_t i = 0; i < plan->bars[bar].due_count; i++) {
        const uint32_t due = plan->bars[bar].first_due + i;
        count += plan->due[due].main == due;
    }
    return count;
}

struct seen {
    size_t asked, right; /* main strokes: the place was theirs as soon as they had come */
    size_t bars, whole;  /* bars that were left, those with every stroke */
    double tempo_off;    /* the largest of a whole bar, share */
};

/* From the fourth stroke on: two alone may be any two. */
static void look(const struct free_run *run, int taps, struct seen *seen) {
    struct eh_free_follower *follower = follow(run, taps);
    uint32_t left = UINT32_MAX;
    for (size_t i = 0; i < run->take.count; i++) {
        struct eh_free_place place;
        eh_free_follower_feed(follower, i);
        eh_free_follower_place(follower, &place);
        const int32_t due = run->p.truth[i];
        if (due >= 0 && run->plan.due[due].main == (uint32_t)due && i >= 4 + (size_t)taps) {
            seen->asked++;
            seen->right += place.known && place.due == (uint32_t)due;
        }
        if (place.left.strokes > 0 && place.left.bar != left) {
            left = place.left.bar;
            seen->bars++;
            seen->whole += place.left.strokes == mains_of(&run->plan, left);
            seen->tempo_off = fmax(seen->tempo_off,
                                   fabs(place.left.bpm / true_bpm(run, &run->plan.bars[left]) - 1));
        }
    }
    eh_free_follower_free(follower);
}

static struct seen look_at_all(struct free_player player, const char *const *names) {
    static const double tempi[] = {50, 96, 150};
    struct seen seen = {0};
    for (size_t i = 0; names[i] != NULL; i++) {
        struct eh_exercise *exercise = read_exercise(names[i]);
        for (size_t t = 0; t < 3; t++) {
            struct free_run run;
            player.bpm = tempi[t];
            player.seed++;
            free_run_play(&run, exercise, &player);
            look(&run, player.taps, &seen);
            free_run_drop(&run);
        }
        eh_exercise_free(exercise);
    }
    return seen;
}

static const char *const plain[] = {"single-strokes", "double-strokes", "five-stroke-rolls",
                                    "accents-over-taps", NULL};

Test(free_follow, a_clean_player_is_followed_stroke_by_stroke_at_any_tempo) {
    const struct seen seen = look_at_all(free_player_default(1, 0), plain);
    cr_expect_gt(seen.asked, 2000);
    cr_expect_geq((double)seen.right, 0.995 * (double)seen.asked, "%zu of %zu", seen.right,
                  seen.asked);
    cr_expect_geq((double)seen.whole, 0.98 * (double)seen.bars, "%zu of %zu", seen.whole,
                  seen.bars);
    /* From first stroke to first stroke: two scatters of 10 ms in a bar of 1.6 s or more. */
    cr_expect_lt(seen.tempo_off, 0.04);
}

Test(free_follow, drift_rubato_and_a_count_off_change_nothing) {
    struct free_player player = free_player_default(100, 0);
    player.course = FREE_DRIFT;
    player.amount = -0.08;
    player.taps = 4;
    struct seen seen = look_at_all(player, plain);
    cr_expect_geq((double)seen.right, 0.995 * (double)seen.asked, "drift: %zu of %zu", seen.right,
                  seen.asked);
    player.course = FREE_RUBATO;
    player.amount = 0.05;
    player.taps = 0;
    seen = look_at_all(player, plain);
    cr_expect_geq((double)seen.right, 0.995 * (double)seen.asked, "rubato: %zu of %zu", seen.right,
                  seen.asked);
}

Test(free_follow, strokes_left_out_and_put_in_are_got_over) {
    struct free_player player = free_player_default(200, 0);
    player.missed = 0.05;
    player.extra = 0.05;
    player.echoed = 0.03;
    const struct seen seen = look_at_all(player, plain);
    cr_expect_geq((double)seen.right, 0.95 * (double)seen.asked, "%zu of %zu", seen.right,
                  seen.asked);
}

Test(free_follow, nothing_is_allocated_while_somebody_plays) {
    struct eh_exercise *exercise = read_exercise("five-stroke-rolls");
    struct free_player player = free_player_default(7, 80);
    struct free_run run;
    free_run_play(&run, exercise, &player);
    struct eh_free_follower *follower = follow(&run, 0);
    until_failure = 0; /* the next one would fail, and set it to -1 */
    for (size_t i = 0; i < run.take.count; i++) {
        struct eh_free_place place;
        eh_free_follower_feed(follower, i);
        eh_free_follower_place(follower, &place);
    }
    cr_expect_eq(until_failure, 0);
    until_failure = -1;
    eh_free_follower_free(follower);
    free_run_drop(&run);
    eh_exercise_free(exercise);
}

Test(free_follow, without_memory_it_says_so_and_keeps_none) {
    struct eh_exercise *exercise = read_exercise("single-strokes");
    struct free_player player = free_player_default(7, 80);
    struct free_run run;
    free_run_play(&run, exercise, &player);
    uint32_t *due = malloc(run.take.count * sizeof *due);
    const long before = alive;
    enum eh_status status = EH_NO_MEMORY;
    int failures = 0;
    for (long n = 0; status != EH_OK; n++) {
        struct eh_free_follower *follower = NULL;
        until_failure = n;
        status = eh_free_follower_new(&follower, &run.plan, &run.pad, 0, run.take.hits);
        failures += status == EH_NO_MEMORY;
        eh_free_follower_free(follower);
        cr_assert_eq(alive, before);
    }
    cr_expect_eq(failures, 4); /* itself, its notes, its paths, their order */
    failures = 0;
    for (long n = 0; until_failure == -1 || n == 0; n++) {
        until_failure = n;
        status = eh_free_reach(&run.plan, &run.pad, 0, run.take.hits, run.take.count, due);
        failures += status == EH_NO_MEMORY;
        cr_assert_eq(alive, before);
        if (status == EH_OK) {
            break;
        }
    }
    until_failure = -1;
    cr_expect_geq(failures, 5);
    free(due);
    free_run_drop(&run);
    eh_exercise_free(exercise);
}

Test(free_follow, the_next_stroke_and_the_last_bar_line_are_seen_at_the_players_own_tempo) {
    /* Quarters at 75: 0.8 s each; eight of them, the last bar line at 6.4 s. */
    struct eh_exercise *exercise =
        parse_exercise("title: t\nmetre: 4/4\ntempo: 120\n\n4: RLRL | RLRL\n");
    struct eh_plan plan = plan_at(exercise, 120, 0, 1);
    struct eh_pad pad;
    struct eh_hit hits[8];
    struct eh_free_follower *follower = NULL;
    struct eh_free_place place;
    eh_pad_init_default(&pad);
    for (int i = 0; i < 8; i++) {
        hits[i] = (struct eh_hit){.at_ns = (5000 + 800 * i) * EH_NS_PER_MS,
                                  .velocity = 60 * EH_VELOCITY_UNIT,
                                  .note = 38};
    }
    cr_assert_eq(eh_free_follower_new(&follower, &plan, &pad, 0, hits), EH_OK);
    eh_free_follower_place(follower, &place);
    cr_expect(!place.known && place.in.strokes == 0);
    for (size_t i = 0; i < 8; i++) {
        eh_free_follower_feed(follower, i);
        eh_free_follower_place(follower, &place);
        if (i == 0) {
            cr_expect(!place.known, "one stroke has no tempo");
            continue;
        }
        cr_expect(place.known && place.due == i, "stroke %zu", i);
        cr_expect_eq(place.at_ns, hits[i].at_ns);
        cr_expect_float_eq(place.in.bpm, 75.0, 1e-6);
        const int64_t next = i == 7 ? INT64_MAX : hits[i + 1].at_ns;
        cr_expect(place.next_ns == next || llabs(place.next_ns - next) < 1000, "stroke %zu", i);
        cr_expect(llabs(place.end_ns - 11400 * EH_NS_PER_MS) < 1000, "stroke %zu", i);
    }
    cr_expect_eq(place.left.bar, 0);
    cr_expect_eq(place.left.strokes, 4);
    cr_expect_float_eq(place.left.bpm, 75.0, 1e-6);
    eh_free_follower_free(follower);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}

Test(free_follow, the_pads_echo_of_a_tap_is_no_tap) {
    struct eh_exercise *exercise =
        parse_exercise("title: t\nmetre: 4/4\ntempo: 90\n\n8: RLRL RLRL | 4: RLRL\n");
    struct eh_plan plan = plan_at(exercise, 90, 0, 1);
    struct eh_pad pad;
    struct eh_take take = {.resolution_ns = 1};
    struct eh_free_tempo tempo;
    struct eh_error error = {0};
    const struct eh_free_request request = {.count_off = 4};
    struct eh_free_follower *follower = NULL;
    struct eh_free_place place;
    eh_pad_init_default(&pad);
    /* Taps at 75, each but the first echoed 7 ms later at a quarter of its velocity. */
    for (int i = 0; i < 4; i++) {
        const struct eh_hit tap = {
            .at_ns = INT64_C(800) * i * EH_NS_PER_MS, .velocity = 40000, .note = 38};
        const struct eh_hit echo = {
            .at_ns = (INT64_C(800) * i + 7) * EH_NS_PER_MS, .velocity = 10000, .note = 38};
        cr_assert_eq(eh_take_add(&take, &tap), EH_OK);
        cr_assert(i == 0 || eh_take_add(&take, &echo) == EH_OK);
    }
    for (size_t i = 0; i < plan.due_count; i++) {
        const double beat = (double)plan.due[i].at / (double)EH_TICKS_PER_QUARTER;
        const struct eh_hit hit = {
            .at_ns = llround((3200.0 + 800.0 * beat) * 1e6), .velocity = 30000, .note = 38};
        cr_assert_eq(eh_take_add(&take, &hit), EH_OK);
    }
    cr_assert_eq(eh_free_follower_new(&follower, &plan, &pad, 4, take.hits), EH_OK);
    for (size_t i = 0; i < take.count; i++) {
        eh_free_follower_feed(follower, i);
    }
    eh_free_follower_place(follower, &place);
    cr_expect(!place.uneven_taps);
    cr_expect_eq(place.due, plan.due_count - 1);
    cr_assert_eq(eh_free_tempo_find(&tempo, exercise, &take, &pad, &request, &error), EH_OK, "%s",
                 error.text);
    cr_expect_float_eq(tempo.count_off_bpm, 75.0, 0.01);
    cr_expect_float_eq(tempo.bpm, 75.0, 0.01);
    eh_free_tempo_deinit(&tempo);
    eh_free_follower_free(follower);
    eh_take_deinit(&take);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}

Test(free_follow, taps_that_are_not_even_are_said_and_the_music_is_found_without_them) {
    struct eh_exercise *exercise =
        parse_exercise("title: t\nmetre: 4/4\ntempo: 90\n\n8: RLRL RLRL | 4: RL 8: RLRL\n");
    struct eh_plan plan = plan_at(exercise, 90, 0, 1);
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    static const int taps_ms[2][4] = {{0, 600, 1200, 1800}, {0, 600, 1400, 1800}};
    for (int uneven = 0; uneven < 2; uneven++) {
        struct eh_hit hits[18];
        struct eh_free_follower *follower = NULL;
        struct eh_free_place place;
        static const int places[14] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 13, 14, 15};
        for (int i = 0; i < 18; i++) {
            const int at = i < 4 ? taps_ms[uneven][i] : 2400 + 300 * places[i - 4];
            hits[i] = (struct eh_hit){.at_ns = at * EH_NS_PER_MS, .velocity = 30000, .note = 38};
        }
        cr_assert_eq(eh_free_follower_new(&follower, &plan, &pad, 4, hits), EH_OK);
        for (size_t i = 0; i < 18; i++) {
            eh_free_follower_feed(follower, i);
            eh_free_follower_place(follower, &place);
            cr_expect_eq(place.uneven_taps, uneven == 1 && i >= 3);
            cr_expect(i > 3 || place.in.strokes == 0, "a tap is no stroke");
        }
        cr_expect_eq(place.due, 13);
        cr_expect_float_eq(place.in.bpm, 100.0, 0.01);
        eh_free_follower_free(follower);
    }
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}
