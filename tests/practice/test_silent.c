#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/practice.h"
#include "evenhand/silent.h"
#include "text_exercise.h"

enum { BARS_MOST = 40 };

/* COUNT bars of four quarters. */
static struct eh_exercise *bars_of(int count) {
    struct eh_text text = {0};
    eh_text_add(&text, "4: R L R L");
    for (int i = 1; i < count; i++) {
        eh_text_add(&text, " | R L R L");
    }
    struct eh_exercise *exercise = text_exercise(NULL, eh_text_string(&text));
    eh_text_deinit(&text);
    return exercise;
}

/* The silent bars of a plan as "o" (sounds) and ".", a space between passes; or the error. */
static const char *lay(const char *pattern, const struct eh_exercise *exercise, int passes) {
    static char text[EH_ERROR_TEXT + 1];
    struct eh_error error = {0};
    struct eh_silent_ask ask;
    struct eh_plan plan;
    bool silent[8 * BARS_MOST];
    size_t n = 0;
    cr_assert_eq(eh_silent_read(&ask, pattern, &error), EH_OK, "%s", error.text);
    text_plan(&plan, exercise, 100, passes, EH_TICKS_PER_QUARTER);
    if (eh_silent_lay(&ask, &plan, silent, &error) != EH_OK) {
        eh_plan_deinit(&plan);
        (void)snprintf(text, sizeof text, "%s", error.text);
        return text;
    }
    for (size_t i = 0; i < plan.bar_count; i++) {
        if (i > 0 && plan.bars[i].pass != plan.bars[i - 1].pass) {
            text[n++] = ' ';
        }
        text[n++] = silent[i] ? '.' : 'o';
    }
    text[n] = '\0';
    eh_plan_deinit(&plan);
    return text;
}

Test(silent, patterns_are_laid_over_bars_and_passes) {
    static const struct {
        const char *pattern;
        int bars, passes;
        const char *wanted;
    } cases[] = {
        {"every-other", 2, 1, "o."},
        {"every-other", 8, 1, "o.o.o.o."},
        {"every-other", 3, 2, "o.o o.o"},
        {"growing", 4, 2, "oo.o oo.o"},
        {"growing", 7, 1, "oo.oooo"},
        {"growing", 8, 1, "oo.oo..o"},
        {"growing", 8, 3, "oo.oo..o oo....oo oo.oo..o"},
        {"growing", 11, 3, "oo.oo..oooo oo....ooooo oo........o"},
        {"growing", 32, 1, "oo.oo..oo....oo........oo.oo..oo"},
        {"1", 2, 1, ".o"},
        {"3-4,7-8", 8, 2, "oo..oo.. oo..oo.."},
        {"7-8,3,4", 8, 1, "oo..oo.."},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct eh_exercise *exercise = bars_of(cases[i].bars);
        cr_expect_str_eq(lay(cases[i].pattern, exercise, cases[i].passes), cases[i].wanted,
                         "%s: %s", cases[i].pattern,
                         lay(cases[i].pattern, exercise, cases[i].passes));
        eh_exercise_free(exercise);
    }
}

Test(silent, a_written_bar_is_silent_in_each_repeat) {
    struct eh_exercise *exercise = text_exercise(NULL, "|: 4: R L R L | R L R L :| R L R L");
    cr_assert_str_eq(lay("2", exercise, 1), "o.o.o");
    eh_exercise_free(exercise);
}

Test(silent, what_cannot_be_silent_says_why) {
    static const struct {
        const char *pattern;
        int bars;
        const char *words;
    } cases[] = {
        {"9", 8, "bar 9 cannot be silent: the bars that are played are 1 to 8"},
        {"7-9", 8, "bar 9 cannot be silent"},
        {"1-8", 8, "every bar would be silent"},
        {"1", 1, "every bar would be silent"},
        {"every-other", 1, "no bar would be silent: 1 bar a pass, where every-other needs 2"},
        {"growing", 3, "no bar would be silent: 3 bars a pass, where growing needs 4"}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct eh_exercise *exercise = bars_of(cases[i].bars);
        cr_expect_not_null(strstr(lay(cases[i].pattern, exercise, 1), cases[i].words), "%s: %s",
                           cases[i].pattern, lay(cases[i].pattern, exercise, 1));
        eh_exercise_free(exercise);
    }
}

Test(silent, what_is_no_pattern_is_refused) {
    static const struct {
        const char *text;
        enum eh_status status;
    } cases[] = {{"", EH_BAD_SYNTAX},        {"every", EH_BAD_SYNTAX},   {"3-", EH_BAD_SYNTAX},
                 {"-3", EH_BAD_SYNTAX},      {"3,,4", EH_BAD_SYNTAX},    {"3,", EH_BAD_SYNTAX},
                 {"3 4", EH_BAD_SYNTAX},     {"0", EH_OUT_OF_RANGE},     {"4-3", EH_OUT_OF_RANGE},
                 {"Growing", EH_BAD_SYNTAX}, {"99999999", EH_BAD_SYNTAX}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct eh_silent_ask ask;
        struct eh_error error = {0};
        cr_expect_eq(eh_silent_read(&ask, cases[i].text, &error), cases[i].status, "%s",
                     cases[i].text);
        cr_expect_gt(strlen(error.text), 0);
    }
}

Test(silent, as_many_places_as_there_is_room_for) {
    struct eh_text text = {0};
    struct eh_silent_ask ask;
    struct eh_error error = {0};
    eh_text_add(&text, "1");
    for (int i = 1; i < EH_SILENT_RANGES_MAX; i++) {
        eh_text_printf(&text, ",%d", 2 * i + 1);
    }
    cr_assert_eq(eh_silent_read(&ask, eh_text_string(&text), &error), EH_OK);
    cr_assert_eq(ask.range_count, EH_SILENT_RANGES_MAX);
    eh_text_add(&text, ",99");
    cr_assert_eq(eh_silent_read(&ask, eh_text_string(&text), &error), EH_OUT_OF_RANGE);
    eh_text_deinit(&text);
}

Test(silent, what_is_kept_is_read_back) {
    const bool silent[] = {false, true, false, true, true, true, false, true};
    bool back[8];
    struct eh_text text = {0};
    struct eh_error error = {0};
    eh_silent_print(silent, 8, &text);
    cr_assert_str_eq(eh_text_string(&text), "2,4-6,8");
    cr_assert_eq(eh_silent_parse(eh_text_string(&text), back, 8, &error), EH_OK);
    cr_assert(memcmp(silent, back, sizeof back) == 0);
    cr_assert_eq(eh_silent_parse(eh_text_string(&text), back, 5, &error), EH_OK);
    cr_assert(back[1] && !back[2] && back[3] && back[4], "of a run that was broken off");
    cr_assert_eq(eh_silent_parse("", back, 8, &error), EH_OK);
    cr_assert_not(back[1]);
    cr_assert_eq(eh_silent_parse("2,x", back, 8, &error), EH_DAMAGED);
    cr_assert_eq(eh_silent_parse("6-4", back, 8, &error), EH_DAMAGED);
    eh_text_deinit(&text);
}

/* The schedule is the same row of beats at the same times; only that some do not sound. */
Test(silent, the_schedule_keeps_every_beat_and_sounds_fewer) {
    struct eh_exercise *exercise = bars_of(4);
    struct eh_practice_request request = {.bpm = 100, .subdivision = 2, .plan.passes = 2};
    struct eh_practice plain;
    struct eh_practice silent;
    struct eh_error error = {0};
    cr_assert_eq(eh_practice_init(&plain, exercise, &request, &error), EH_OK);
    request.silent.kind = EH_SILENT_EVERY_OTHER;
    cr_assert_eq(eh_practice_init(&silent, exercise, &request, &error), EH_OK, "%s", error.text);
    cr_assert_eq(plain.beat_count, silent.beat_count);
    size_t count = 0;
    for (size_t i = 0; i < plain.beat_count; i++) {
        const struct eh_beat *beat = &silent.beats[i];
        const eh_ticks in_pass = beat->at - (eh_ticks)beat->pass * 20 * EH_TICKS_PER_QUARTER;
        const bool wanted = !beat->count_in && in_pass / (4 * EH_TICKS_PER_QUARTER) % 2 == 1;
        cr_assert_eq(beat->at_ns, plain.beats[i].at_ns);
        cr_assert_eq(beat->silent, wanted, "beat %zu", i);
        cr_assert_not(plain.beats[i].silent);
        count += beat->silent;
    }
    cr_assert_eq(count, (size_t)32, "two bars of eight clicks in each of two passes");
    eh_practice_deinit(&plain);
    eh_practice_deinit(&silent);
    eh_exercise_free(exercise);
}

Test(silent, without_a_click_nothing_is_asked_of_it) {
    struct eh_exercise *exercise = bars_of(1);
    struct eh_practice_request request = {.bpm = 100, .no_click = true};
    struct eh_practice practice;
    struct eh_error error = {0};
    request.silent.kind = EH_SILENT_EVERY_OTHER;
    cr_assert_eq(eh_practice_init(&practice, exercise, &request, &error), EH_OK);
    eh_practice_deinit(&practice);
    eh_exercise_free(exercise);
}
