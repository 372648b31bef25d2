#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/practice.h"
#include "text_exercise.h"

/* At 120 a bar of 4/4 lasts 2 s, a beat 0.5 s. */
static const char four_bars[] = "4: RLRL | RLRL | RLRL | RLRL";

static const int64_t ms = EH_NS_PER_MS;

static void make(struct eh_practice *practice, const struct eh_exercise *exercise, double bpm,
                 int passes, int count_in) {
    const struct eh_practice_request request = {
        .plan = {.passes = passes}, .bpm = bpm, .count_in_bars = count_in};
    struct eh_error error = {0};
    cr_assert_eq(eh_practice_init(practice, exercise, &request, &error), EH_OK, "%s", error.text);
}

/* A player who hits every due stroke between two times, all on the dot; and what was reported. */
struct course {
    int64_t from_ms, to_ms;
    int64_t ended_ms;
    char events[400]; /* "c0 b0 0 1 2 3 o0 end" */
};

static void note_events(struct eh_practice *practice, struct course *course) {
    static const char letters[] = "cb.oE";
    struct eh_practice_event event;
    while (eh_practice_next(practice, &event)) {
        char word[24];
        if (event.kind == EH_EVENT_BAR_SETTLED) {
            (void)snprintf(word, sizeof word, "%zu ", event.bar);
        } else {
            (void)snprintf(word, sizeof word, "%c%d ", letters[event.kind],
                           event.kind == EH_EVENT_RUN_OVER ? event.end : event.pass);
        }
        strncat(course->events, word, sizeof course->events - strlen(course->events) - 1);
    }
}

/* Runs on a clock of 5 ms steps. The follower is taken to settle 500 ms after a stroke. */
static void run(struct eh_practice *practice, struct course *course) {
    size_t next = 0;
    size_t settled = 0;
    const struct eh_plan *plan = &practice->plan;
    for (int64_t now = eh_practice_start_ns(practice); !eh_practice_is_over(practice);
         now += 5 * ms) {
        cr_assert_leq(now, eh_practice_latest_end_ns(practice) + 5 * ms, "it never ends");
        for (; next < plan->due_count && plan->due[next].at_ns <= now; next++) {
            const int64_t at = plan->due[next].at_ns;
            if (at >= course->from_ms * ms && at < course->to_ms * ms) {
                eh_practice_hit(practice, at);
            }
        }
        while (settled < plan->due_count && plan->due[settled].at_ns + 500 * ms <= now) {
            settled++;
        }
        eh_practice_advance(practice, now, settled);
        course->ended_ms = now / ms;
        note_events(practice, course);
    }
    eh_practice_finish(practice);
    note_events(practice, course);
}

struct ending {
    int passes;
    int64_t from_ms, to_ms;
    enum eh_practice_end end;
    int64_t ended_ms, within_ms;
    const char *events;
};

Test(practice, a_run_ends_by_its_end_or_by_silence_with_every_event_once) {
    static const struct ending rows[] = {
        /* To the end: the last bar line at 8 s and a grace of 600 ms. */
        {1, 0, 99999, EH_END_EXERCISE, 8600, 5, "c0 b0 0 1 2 3 o0 E1 "},
        /* Two passes: the second is counted in from 8 s to 10 s. */
        {2, 0, 99999, EH_END_EXERCISE, 18600, 5, "c0 b0 0 1 2 3 o0 c1 b1 4 5 6 7 o1 E1 "},
        /* The last hit at 3.5 s: silence counts from the stroke due at 4 s, for 4 s; what is due
         * by then is reported. */
        {2, 0, 4000, EH_END_SILENCE, 8000, 5, "c0 b0 0 1 2 3 o0 E2 "},
        /* A hole of one bar does not end it. */
        {1, 2000, 99999, EH_END_EXERCISE, 8600, 5, "c0 b0 0 1 2 3 o0 E1 "},
        /* Nothing at all: waits for the whole of it. */
        {1, 0, 0, EH_END_NOTHING, 8600, 5, "c0 b0 0 1 2 3 o0 E3 "},
        /* Silent in the second pass only: the count-in is no silence. */
        {3, 0, 8000, EH_END_SILENCE, 14000, 5, "c0 b0 0 1 2 3 o0 c1 b1 4 5 E2 "},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_exercise *exercise = text_exercise(NULL, four_bars);
        struct eh_practice practice;
        struct course course = {.from_ms = rows[i].from_ms, .to_ms = rows[i].to_ms};
        make(&practice, exercise, 120, rows[i].passes, 0);
        run(&practice, &course);
        cr_expect_eq(eh_practice_end(&practice), rows[i].end, "row %zu: %s", i,
                     eh_practice_end_text(eh_practice_end(&practice)));
        cr_expect(llabs(course.ended_ms - rows[i].ended_ms) <= rows[i].within_ms,
                  "row %zu: ended at %lld ms", i, (long long)course.ended_ms);
        cr_expect_str_eq(course.events, rows[i].events, "row %zu: %s", i, course.events);
        eh_practice_deinit(&practice);
        eh_exercise_free(exercise);
    }
}

Test(practice, bars_that_were_not_reached_are_not_reported) {
    struct eh_exercise *exercise = text_exercise(NULL, four_bars);
    struct eh_practice practice;
    struct course course = {.from_ms = 0, .to_ms = 1000};
    make(&practice, exercise, 120, 3, 0);
    run(&practice, &course); /* silent from 1 s on: ends at 5 s, in the third bar */
    cr_expect_str_eq(course.events, "c0 b0 0 1 2 E2 ");
    eh_practice_deinit(&practice);
    eh_exercise_free(exercise);
}

Test(practice, a_written_rest_is_no_silence) {
    struct eh_exercise *exercise = text_exercise(NULL, "4: RLRL | 1: - | - | - | - | - | 4: RLRL");
    struct eh_practice practice;
    struct course course = {.from_ms = 0, .to_ms = 99999};
    make(&practice, exercise, 120, 1, 0);
    run(&practice, &course);
    cr_expect_eq(eh_practice_end(&practice), EH_END_EXERCISE);
    cr_expect_str_eq(course.events, "c0 b0 0 1 2 3 4 5 6 o0 E1 ");
    eh_practice_deinit(&practice);
    eh_exercise_free(exercise);
}

Test(practice, a_player_who_has_fallen_behind_is_let_finish) {
    struct eh_exercise *exercise = text_exercise(NULL, four_bars);
    struct eh_practice practice;
    make(&practice, exercise, 120, 1, 0);
    int64_t now = eh_practice_start_ns(&practice);
    for (; !eh_practice_is_over(&practice); now += 5 * ms) {
        if (now >= 0 && now <= 9500 * ms && now % (500 * ms) == 0) {
            eh_practice_hit(&practice, now); /* three beats past the last bar line */
        }
        eh_practice_advance(&practice, now, 0);
    }
    cr_expect_eq(eh_practice_end(&practice), EH_END_EXERCISE);
    cr_expect(now / ms >= 10100 && now / ms <= 10110, "%lld ms", (long long)(now / ms));
    eh_practice_deinit(&practice);
    eh_exercise_free(exercise);
}

Test(practice, a_stop_by_the_user_ends_it_once_and_for_all) {
    struct eh_exercise *exercise = text_exercise(NULL, four_bars);
    struct eh_practice practice;
    struct eh_practice_event event;
    make(&practice, exercise, 120, 1, 0);
    eh_practice_advance(&practice, 0, 0);
    eh_practice_hit(&practice, 0);
    eh_practice_stop(&practice, EH_END_STOPPED);
    eh_practice_stop(&practice, EH_END_GONE);
    eh_practice_advance(&practice, 99999 * ms, 0);
    cr_expect_eq(eh_practice_end(&practice), EH_END_STOPPED);
    eh_practice_finish(&practice);
    int over = 0;
    while (eh_practice_next(&practice, &event)) {
        over += event.kind == EH_EVENT_RUN_OVER;
    }
    cr_expect_eq(over, 1);
    cr_expect_not(eh_practice_next(&practice, &event));
    eh_practice_deinit(&practice);
    eh_exercise_free(exercise);
}

struct counted {
    const char *metre, *bars;
    int count_in, subdivision;
    double bpm;
    const char
        *clicks; /* weight and number: O1 beat one, B a beat, s a subdivision; ( count-in ) */
    int64_t start_ms;
};

static void write_clicks(const struct eh_practice *practice, char *out, size_t size) {
    bool inside = false;
    out[0] = '\0';
    for (size_t i = 0; i < practice->beat_count; i++) {
        const struct eh_beat *beat = &practice->beats[i];
        char word[16];
        (void)snprintf(word, sizeof word, "%s%c%d",
                       beat->count_in == inside ? ""
                       : inside                 ? ")"
                                                : "(",
                       "sBO"[beat->weight], beat -> number);
        inside = beat->count_in;
        strncat(out, word, size - strlen(out) - 1);
    }
}

/* Counting in: common practice, no source. 6/8 and 9/8 are counted in dotted quarters, 7/8 in
 * eighths; before a pick-up the bar is counted on up to where it comes in. */
Test(practice, clicks_follow_the_metre_and_the_pick_up) {
    static const struct counted rows[] = {
        {"4/4", "4: RLRL", 0, 0, 60, "(O1B2B3B4)O1B2B3B4", -4000},
        {"4/4", "4: RLRL", 2, 0, 120, "(O1B2B3B4O1B2B3B4)O1B2B3B4", -4000},
        {"2/4", "4: RL", 0, 2, 60, "(O1s2B2s2)O1s2B2s2", -2000},
        {"3/4", "4: RLR", 0, 3, 60, "(O1s2s3B2s2s3B3s2s3)O1s2s3B2s2s3B3s2s3", -3000},
        {"6/8", "8: RLRLRL", 0, 0, 90, "(O1B2)O1B2", -2000},
        {"9/8", "8: RLRLRLRLR", 0, 0, 90, "(O1B2B3)O1B2B3", -3000},
        {"7/8", "8: RLRLRLR", 0, 0, 60, "(O1B2B3B4B5B6B7)O1B2B3B4B5B6B7", -3500},
        {"3/8", "8: RLR", 0, 0, 60, "(O1B2B3)O1B2B3", -1500},
        {"4/4", "pickup 4: L | RLRL", 0, 0, 60, "(O1B2B3B4O1B2B3)B4O1B2B3B4", -7000},
        {"4/4", "4: RLRL | 3/4 RLR", 0, 0, 60, "(O1B2B3B4)O1B2B3B4O1B2B3", -4000},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_exercise *exercise = text_exercise(rows[i].metre, rows[i].bars);
        const struct eh_practice_request request = {.bpm = rows[i].bpm,
                                                    .count_in_bars = rows[i].count_in,
                                                    .subdivision = rows[i].subdivision};
        struct eh_practice practice;
        char clicks[512];
        cr_assert_eq(eh_practice_init(&practice, exercise, &request, NULL), EH_OK, "row %zu", i);
        write_clicks(&practice, clicks, sizeof clicks);
        cr_expect_str_eq(clicks, rows[i].clicks, "row %zu: %s", i, clicks);
        cr_expect_eq(eh_practice_start_ns(&practice) / ms, rows[i].start_ms, "row %zu", i);
        for (size_t k = 1; k < practice.beat_count; k++) {
            cr_expect_gt(practice.beats[k].at_ns, practice.beats[k - 1].at_ns);
        }
        eh_practice_deinit(&practice);
        eh_exercise_free(exercise);
    }
}

struct wrong {
    struct eh_practice_request request;
    enum eh_status status;
};

Test(practice, numbers_outside_their_range_are_refused) {
    static const struct wrong rows[] = {
        {{.bpm = 20}, EH_OK},
        {{.bpm = 400}, EH_OK},
        {{.bpm = 19.99}, EH_OUT_OF_RANGE},
        {{.bpm = 400.01}, EH_OUT_OF_RANGE},
        {{.bpm = 0}, EH_OUT_OF_RANGE},
        {{.bpm = 100, .plan = {.passes = -1}}, EH_OUT_OF_RANGE},
        {{.bpm = 100, .plan = {.passes = EH_PASSES_MAX + 1}}, EH_OUT_OF_RANGE},
        {{.bpm = 100, .count_in_bars = EH_COUNT_IN_BARS_MAX + 1}, EH_OUT_OF_RANGE},
        {{.bpm = 100, .subdivision = EH_SUBDIVISION_MAX + 1}, EH_OUT_OF_RANGE},
        {{.bpm = 100, .plan = {.first_bar = 3, .last_bar = 2}}, EH_OUT_OF_RANGE},
        {{.bpm = 100, .plan = {.first_bar = 5}}, EH_OUT_OF_RANGE},
        {{.bpm = 100, .plan = {.first_bar = 2, .last_bar = 4}}, EH_OK},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_exercise *exercise = text_exercise(NULL, four_bars);
        struct eh_practice practice;
        struct eh_error error = {0};
        const enum eh_status status =
            eh_practice_init(&practice, exercise, &rows[i].request, &error);
        cr_expect_eq(status, rows[i].status, "row %zu: %s", i, error.text);
        cr_expect_eq(status == EH_OK, error.text[0] == '\0', "row %zu", i);
        eh_practice_deinit(&practice);
        eh_exercise_free(exercise);
    }
}

struct broken_off {
    const char *bars;
    int passes;
    int64_t last_hit_ms; /* -1: no hit */
    bool complete;
    int judged_passes, judged_last_bar;
    size_t hits; /* of the one that there is */
};

Test(practice, a_run_broken_off_is_judged_by_what_was_played_whole) {
    static const struct broken_off rows[] = {
        {four_bars, 1, 7500, true, 1, 0, 1},
        {four_bars, 1, 2000, true, 1, 0, 1},
        {four_bars, 1, 7500, false, 1, 0, 1},
        {four_bars, 1, 3500, false, 1, 2, 1},
        {four_bars, 1, 3480, false, 1, 2, 1}, /* its last stroke a little early */
        {four_bars, 1, 4000, false, 1, 2, 0}, /* one stroke into the third bar */
        {four_bars, 1, 5000, false, 1, 2, 0}, /* all but one of the third bar */
        {four_bars, 1, 500, false, 1, 1, 1},  /* half of the first bar */
        {four_bars, 1, -1, false, 1, 0, 0},
        /* Passes begin at 0, 10 and 20 s. */
        {four_bars, 3, 11000, false, 1, 0, 0}, /* a few strokes of the second pass */
        {four_bars, 3, 14500, false, 2, 0, 1}, /* more than half of it */
        {four_bars, 3, 27500, false, 3, 0, 1},
        {four_bars, 3, 3500, false, 1, 2, 1},
        {"|: 4: RLRL | RLRL :|", 1, 3500, false, 1, 0, 1}, /* a repeat is not cut */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_exercise *exercise = text_exercise(NULL, rows[i].bars);
        struct eh_practice practice;
        make(&practice, exercise, 120, rows[i].passes, 0);
        const struct eh_hit hit = {.at_ns = rows[i].last_hit_ms * ms, .velocity = 512};
        struct eh_plan_request played;
        size_t hits = 99;
        cr_assert_eq(eh_practice_played(exercise, &practice.click, &practice.request, &hit,
                                        rows[i].last_hit_ms >= 0, rows[i].complete, &played, &hits,
                                        NULL),
                     EH_OK);
        cr_expect_eq(played.passes, rows[i].judged_passes, "row %zu: %d passes", i, played.passes);
        cr_expect_eq(played.last_bar, rows[i].judged_last_bar, "row %zu: to bar %d", i,
                     played.last_bar);
        cr_expect_eq(hits, rows[i].hits, "row %zu: %zu hits", i, hits);
        cr_expect_eq(played.gap, practice.request.gap);
        eh_practice_deinit(&practice);
        eh_exercise_free(exercise);
    }
}
