/* The course of a run without a click, on invented time: what the player's own tempo says. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/practice.h"
#include "text_exercise.h"

/* Four bars that differ. At 120 a bar of 4/4 lasts 2 s, a beat 0.5 s. */
static const char four_bars[] = "4: RLRL | 8: RLRL RLRL | 4: RL 8: RLRL | 8: RLRL 4: RL";
static const uint32_t four_bars_strokes[] = {4, 8, 6, 6};

static const int64_t ms = EH_NS_PER_MS;

enum { HITS_MOST = 512 };

/* A run and who plays it. */
struct stage {
    struct eh_exercise *exercise;
    struct eh_practice practice;
    struct eh_free_follower *follower;
    struct eh_pad pad;
    struct eh_hit hits[HITS_MOST];
    size_t count, told;
    int64_t ended_ms;
    char bars[200]; /* "0:4 1:8 ": bar and strokes as they were reported */
    double bpm[32]; /* by bar */
};

static void set_up(struct stage *stage, const char *bars, int passes, bool uncounted) {
    const struct eh_practice_request request = {
        .plan = {.passes = passes}, .bpm = 120, .no_click = true, .uncounted = uncounted};
    struct eh_error error = {0};
    memset(stage, 0, sizeof *stage);
    stage->exercise = text_exercise(NULL, bars);
    eh_pad_init_default(&stage->pad);
    cr_assert_eq(eh_practice_init(&stage->practice, stage->exercise, &request, &error), EH_OK, "%s",
                 error.text);
    cr_assert_eq(
        eh_free_follower_new(&stage->follower, &stage->practice.plan, &stage->pad, 0, stage->hits),
        EH_OK);
}

static void tear_down(struct stage *stage) {
    eh_free_follower_free(stage->follower);
    eh_practice_deinit(&stage->practice);
    eh_exercise_free(stage->exercise);
}

static void add_hit(struct stage *stage, int64_t at_ns) {
    cr_assert_lt(stage->count, (size_t)HITS_MOST);
    stage->hits[stage->count++] =
        (struct eh_hit){.at_ns = at_ns, .velocity = 60 * EH_VELOCITY_UNIT, .note = 38};
}

/* Plays what is written from FROM to before TO, in beats of the music, at FACTOR times the click's
 * tempo, the first bar line at ZERO. */
static void play(struct stage *stage, double factor, double from, double to, int64_t zero_ns) {
    const struct eh_plan *plan = &stage->practice.plan;
    for (size_t i = 0; i < plan->due_count; i++) {
        const double beat = (double)plan->due[i].at / (double)EH_TICKS_PER_QUARTER;
        if (beat >= from && beat < to) {
            add_hit(stage, zero_ns + (int64_t)((double)plan->due[i].at_ns / factor));
        }
    }
}

static void note_events(struct stage *stage) {
    struct eh_practice_event event;
    while (eh_practice_next(&stage->practice, &event)) {
        if (event.kind == EH_EVENT_BAR_HEARD) {
            const size_t length = strlen(stage->bars);
            (void)snprintf(stage->bars + length, sizeof stage->bars - length, "%zu:%u ", event.bar,
                           (unsigned)event.heard.strokes);
            stage->bpm[event.bar % 32] = event.heard.bpm;
        }
    }
}

/* On a clock of 5 ms steps. */
static enum eh_practice_end run(struct stage *stage) {
    struct eh_practice *practice = &stage->practice;
    for (int64_t now = eh_practice_start_ns(practice); !eh_practice_is_over(practice);
         now += 5 * ms) {
        cr_assert_lt(now, 300 * EH_NS_PER_S, "it never ends");
        struct eh_free_place place;
        for (; stage->told < stage->count && stage->hits[stage->told].at_ns <= now; stage->told++) {
            (void)eh_practice_hit(practice, stage->hits[stage->told].at_ns);
            eh_free_follower_feed(stage->follower, stage->told);
        }
        eh_free_follower_place(stage->follower, &place);
        eh_practice_follow(practice, now, &place);
        stage->ended_ms = now / ms;
        note_events(stage);
    }
    eh_practice_finish(practice);
    note_events(stage);
    return eh_practice_end(practice);
}

Test(practice_free, the_click_counts_in_once_and_falls_silent) {
    struct stage stage;
    set_up(&stage, four_bars, 3, false);
    cr_expect_eq(stage.practice.beat_count, 4);
    cr_expect(stage.practice.beats[3].count_in);
    cr_expect_eq(eh_practice_start_ns(&stage.practice), -2000 * ms);
    cr_expect_eq(stage.practice.plan.length, 3 * 16 * EH_TICKS_PER_QUARTER, "passes have no gap");
    tear_down(&stage);
    set_up(&stage, four_bars, 1, true);
    cr_expect_eq(stage.practice.beat_count, 0);
    cr_expect_eq(eh_practice_start_ns(&stage.practice), 0);
    tear_down(&stage);
}

Test(practice_free, at_any_tempo_the_run_ends_a_beat_after_the_players_own_last_bar_line) {
    static const double factors[] = {0.4, 0.7, 0.93, 1.0, 1.08, 1.5, 2.2};
    for (size_t i = 0; i < sizeof factors / sizeof factors[0]; i++) {
        for (int uncounted = 0; uncounted < 2; uncounted++) {
            struct stage stage;
            set_up(&stage, four_bars, 2, uncounted == 1);
            play(&stage, factors[i], 0, 99, uncounted == 1 ? 0 : 400 * ms);
            cr_expect_eq(run(&stage), EH_END_EXERCISE, "at %g: %s", factors[i],
                         eh_practice_end_text(eh_practice_end(&stage.practice)));
            const double beat = 500.0 / factors[i];
            const double wait = fmin(fmax(beat, 600.0), 1500.0);
            const double end = (uncounted == 1 ? 0 : 400) + 32 * beat + wait;
            cr_expect(fabs((double)stage.ended_ms - end) < 20, "at %g: %lld ms, not %.0f",
                      factors[i], (long long)stage.ended_ms, end);
            cr_expect_str_eq(stage.bars, "0:4 1:8 2:6 3:6 4:4 5:8 6:6 7:6 ", "at %g: %s",
                             factors[i], stage.bars);
            for (int bar = 0; bar < 8; bar++) {
                cr_expect_float_eq(stage.bpm[bar], 120 * factors[i], 0.5, "at %g, bar %d: %g",
                                   factors[i], bar, stage.bpm[bar]);
            }
            tear_down(&stage);
        }
    }
}

Test(practice_free, silence_counts_from_the_stroke_that_should_come_next) {
    static const struct row {
        double factor, until;
        int64_t ended_ms; /* the next stroke's time and two bars, at least four seconds */
    } rows[] = {
        {1.0, 4, 2000 + 4000},   /* bar 1 is played; two bars are four seconds */
        {0.5, 4, 4000 + 8000},   /* at half the tempo they are eight */
        {1.25, 4, 1600 + 4000},  /* four seconds at least */
        {0.5, 7.6, 8000 + 8000}, /* two bars before the end: still silence */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct stage stage;
        set_up(&stage, four_bars, 1, true);
        play(&stage, rows[i].factor, 0, rows[i].until, 0);
        cr_expect_eq(run(&stage), EH_END_SILENCE, "row %zu", i);
        cr_expect(llabs(stage.ended_ms - rows[i].ended_ms) <= 25, "row %zu: %lld ms", i,
                  (long long)stage.ended_ms);
        tear_down(&stage);
    }
}

Test(practice_free, who_falls_silent_in_the_last_two_bars_has_played_to_the_end) {
    /* As with a click: the last bar line comes before two bars of silence are over. */
    struct stage stage;
    set_up(&stage, four_bars, 1, true);
    play(&stage, 0.5, 0, 14.6, 0);
    cr_expect_eq(run(&stage), EH_END_EXERCISE);
    cr_expect(llabs(stage.ended_ms - 17000) <= 25, "%lld ms", (long long)stage.ended_ms);
    cr_expect_str_eq(stage.bars, "0:4 1:8 2:6 3:5 ", "%s", stage.bars);
    tear_down(&stage);
}

Test(practice_free, a_written_rest_is_no_silence_at_the_players_own_tempo) {
    struct stage stage;
    set_up(&stage, "4: RLRL | 1: - | - | - | - | - | 4: RLRL", 1, true);
    play(&stage, 0.6, 0, 99, 0);
    cr_expect_eq(run(&stage), EH_END_EXERCISE);
    cr_expect_str_eq(stage.bars, "0:4 6:4 ", "%s", stage.bars);
    tear_down(&stage);
}

Test(practice_free, who_waits_for_three_seconds_goes_on_where_he_was) {
    struct stage stage;
    set_up(&stage, four_bars, 1, true);
    play(&stage, 1.0, 0, 8, 0);
    play(&stage, 1.0, 8, 99, 3000 * ms);
    cr_expect_eq(run(&stage), EH_END_EXERCISE);
    cr_expect_str_eq(stage.bars, "0:4 1:8 2:6 3:6 ", "%s", stage.bars);
    cr_expect(isnan(stage.bpm[1]), "the bar that he waited in has no tempo: %g", stage.bpm[1]);
    cr_expect_float_eq(stage.bpm[2], 120, 1e-6);
    tear_down(&stage);
}

Test(practice_free, who_loses_the_thread_far_from_the_end_is_not_ended_by_a_beat_of_silence) {
    /* Two bars of eight, then five hits together every 1.7 s: the last bar line at the tempo of
     * these bars is long past, and a beat is silent again and again, yet nobody has played to the
     * end. */
    struct stage stage;
    set_up(&stage,
           "8: RLRL RLRL | 4: RLRL | 8: RLRL 4: RL | 4: RL 8: RLRL | 8: RLRL RLRL | 4: RLRL"
           " | 8: RLRL 4: RL | 4: RL 8: RLRL",
           1, true);
    play(&stage, 1.0, 0, 8, 0);
    for (int64_t at = 4300; at < 30000; at += 1700) {
        for (int64_t k = 0; k < 5; k++) {
            add_hit(&stage, (at + 37 * k) * ms);
        }
    }
    const int64_t last_ms = stage.hits[stage.count - 1].at_ns / ms;
    cr_expect_eq(run(&stage), EH_END_SILENCE);
    cr_expect_geq(stage.ended_ms, last_ms + 4000, "%lld ms", (long long)stage.ended_ms);
    tear_down(&stage);
}

Test(practice_free, nothing_played_ends_where_the_click_would_or_after_ten_minutes) {
    struct stage stage;
    set_up(&stage, four_bars, 1, false);
    cr_expect_eq(run(&stage), EH_END_NOTHING);
    cr_expect_eq(stage.ended_ms, 8600);
    tear_down(&stage);
    set_up(&stage, four_bars, 1, true);
    eh_practice_wait(&stage.practice, 600 * EH_NS_PER_S - 1);
    cr_expect(!eh_practice_is_over(&stage.practice));
    eh_practice_wait(&stage.practice, 600 * EH_NS_PER_S);
    cr_expect_eq(eh_practice_end(&stage.practice), EH_END_NOTHING);
    tear_down(&stage);
}

Test(practice_free, taps_along_with_the_count_in_are_none_of_the_exercises) {
    struct stage stage;
    set_up(&stage, four_bars, 1, false);
    cr_expect(!eh_practice_hit(&stage.practice, -500 * ms));
    cr_expect(!eh_practice_hit(&stage.practice, -251 * ms));
    cr_expect(eh_practice_hit(&stage.practice, -250 * ms), "half a beat early");
    cr_expect(eh_practice_hit(&stage.practice, 0));
    cr_expect_eq(stage.practice.hit_count, 2);
    tear_down(&stage);
}

/* ---- What of it is judged ---- */

struct judged {
    struct eh_plan_request played;
    size_t hits, first; /* that are left; the first of them was this one */
};

static struct judged find_played(struct stage *stage, int32_t count_off, bool complete) {
    struct eh_take take;
    struct eh_error error = {0};
    struct judged judged = {.hits = 0};
    const struct eh_metre_change metre = {.at = 0, .beats = 4, .unit = 4};
    cr_assert_eq(eh_take_init(&take, "test", metre, 0, eh_ns_per_quarter(120)), EH_OK);
    for (size_t i = 0; i < stage->count; i++) {
        cr_assert_eq(eh_take_add(&take, &stage->hits[i]), EH_OK);
    }
    cr_assert_eq(eh_practice_played_free(stage->exercise, &stage->pad, &stage->practice.request,
                                         count_off, complete, &take, &judged.played, &error),
                 EH_OK, "%s", error.text);
    judged.hits = take.count;
    while (judged.first < stage->count && take.count > 0 &&
           stage->hits[judged.first].at_ns != take.hits[0].at_ns) {
        judged.first++;
    }
    eh_take_deinit(&take);
    return judged;
}

Test(practice_free, who_breaks_off_is_judged_by_his_whole_bars_at_his_own_tempo) {
    static const double factors[] = {0.5, 0.8, 1.0, 1.9};
    for (size_t f = 0; f < 4; f++) {
        for (int bars = 1; bars < 4; bars++) {
            struct stage stage;
            size_t strokes = 0;
            set_up(&stage, four_bars, 1, true);
            play(&stage, factors[f], 0, 4 * bars + 1.2, 0); /* and a beat of the next bar */
            const struct judged judged = find_played(&stage, 0, false);
            for (int i = 0; i < bars; i++) {
                strokes += four_bars_strokes[i];
            }
            cr_expect_eq(judged.played.last_bar, bars, "at %g: bars to %d", factors[f],
                         (int)judged.played.last_bar);
            cr_expect_eq(judged.hits, strokes, "at %g, %d bars: %zu hits", factors[f], bars,
                         judged.hits);
            const struct judged whole = find_played(&stage, 0, true);
            cr_expect(whole.played.last_bar == 0 && whole.hits == stage.count, "complete");
            tear_down(&stage);
        }
    }
}

Test(practice_free, of_several_passes_the_whole_ones_are_judged_and_the_last_if_half_of_it_was) {
    for (int half = 0; half < 2; half++) {
        struct stage stage;
        set_up(&stage, four_bars, 4, true);
        play(&stage, 0.7, 0, 16 + (half ? 9.0 : 6.0), 0); /* 16 beats a pass */
        const struct judged judged = find_played(&stage, 0, false);
        cr_expect_eq(judged.played.passes, half ? 2 : 1);
        cr_expect_eq(judged.played.last_bar, 0);
        cr_expect_eq(judged.hits, half ? stage.count : 24, "%zu", judged.hits);
        tear_down(&stage);
    }
}

Test(practice_free, taps_in_the_count_in_are_not_judged_and_those_of_a_count_off_are_kept) {
    struct stage stage;
    set_up(&stage, four_bars, 1, false);
    for (int i = -4; i < 0; i++) {
        add_hit(&stage, i * 500 * ms);
    }
    play(&stage, 0.9, 0, 99, 0);
    struct judged judged = find_played(&stage, 0, true);
    cr_expect_eq(judged.first, 4);
    cr_expect_eq(judged.hits, 24);
    tear_down(&stage);
    set_up(&stage, four_bars, 1, true);
    for (int i = 0; i < 4; i++) {
        add_hit(&stage, i * 600 * ms);
    }
    play(&stage, 500.0 / 600.0, 0, 9.2, 2400 * ms);
    judged = find_played(&stage, 4, false);
    cr_expect_eq(judged.first, 0);
    cr_expect_eq(judged.hits, 4 + 12);
    cr_expect_eq(judged.played.last_bar, 2);
    tear_down(&stage);
}
