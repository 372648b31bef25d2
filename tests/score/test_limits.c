/* Every limit: at it, and one past it. */
#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "describe.h"

static void repeat_text(struct eh_text *out, const char *piece, int times) {
    for (int i = 0; i < times; i++) {
        eh_text_add(out, piece);
    }
}

/* The text reads; *OUT_EXERCISE, unless NULL, is the caller's. Frees the text. */
static void expect_good(struct eh_text *text, struct eh_exercise **out_exercise) {
    struct eh_exercise *exercise = NULL;
    struct eh_error error;
    cr_assert_eq(eh_exercise_parse(&exercise, text->data, text->length, &error), EH_OK, "%d:%d: %s",
                 error.line, error.column, error.text);
    if (out_exercise == NULL) {
        eh_exercise_free(exercise);
    } else {
        *out_exercise = exercise;
    }
    eh_text_deinit(text);
}

static void expect_bad(struct eh_text *text, enum eh_status status, int line, int column,
                       const char *message) {
    expect_error("limit", text->data, text->length, status, line, column, message);
    eh_text_deinit(text);
}

Test(score_limits, ten_thousand_written_bars_and_no_more) {
    struct eh_text text = {0};
    struct eh_exercise *exercise = NULL;
    eh_text_add(&text, "metre: 1/4\n4:");
    repeat_text(&text, "R|", EH_EXERCISE_BARS_MAX);
    expect_good(&text, &exercise);
    cr_assert_eq(eh_exercise_bar_count(exercise), 10000);
    eh_exercise_free(exercise);
    eh_text_add(&text, "metre: 1/4\n4:");
    repeat_text(&text, "R|", EH_EXERCISE_BARS_MAX + 1);
    expect_bad(&text, EH_TOO_LARGE, 2, 20003, "expected at most 10000 bars, found another");
}

Test(score_limits, twenty_thousand_played_bars_and_no_more) {
    struct eh_text text = {0};
    eh_text_add(&text, "metre: 1/4\n4:");
    repeat_text(&text, "R|", EH_EXERCISE_BARS_MAX - 1);
    eh_text_add(&text, "R:|");
    expect_good(&text, NULL);
    eh_text_add(&text, "metre: 1/4\n4:R|:");
    repeat_text(&text, "R|", EH_EXERCISE_BARS_MAX - 2);
    eh_text_add(&text, "R:|x3");
    expect_bad(&text, EH_TOO_LARGE, 2, 6,
               "expected at most 20000 bars with all repeats played, found more");
}

/* 20,000 bars of fifty strokes. */
static void million_strokes(struct eh_text *text, const char *first) {
    eh_text_add(text, "metre: 50/64\n64:");
    eh_text_add(text, first);
    repeat_text(text, "L", 49);
    for (int bar = 1; bar < EH_EXERCISE_BARS_MAX; bar++) {
        eh_text_add(text, "|RLRLRLRLRLRLRLRLRLRLRLRLRLRLRLRLRLRLRLRLRLRLRLRLRL");
    }
    eh_text_add(text, ":|");
}

Test(score_limits, a_million_strokes_and_no_more) {
    struct eh_text text = {0};
    struct eh_exercise *exercise = NULL;
    size_t count = 0;
    million_strokes(&text, "R");
    expect_good(&text, &exercise);
    (void)eh_exercise_strokes(exercise, &count);
    cr_assert_eq(count, EH_EXERCISE_STROKES_MAX);
    eh_exercise_free(exercise);
    million_strokes(&text, "lR");
    expect_bad(&text, EH_TOO_LARGE, 2, 510002,
               "expected at most 1000000 strokes with all repeats played, found more");
}

Test(score_limits, eight_mebibytes_and_no_more) {
    struct eh_text text = {0};
    static char spaces[EH_EXERCISE_BYTES_MAX];
    memset(spaces, ' ', sizeof spaces);
    eh_text_add_bytes(&text, "1:R", 3);
    eh_text_add_bytes(&text, spaces, sizeof spaces - 3);
    cr_assert_eq(text.length, 8388608);
    struct eh_exercise *exercise = NULL;
    cr_assert_eq(eh_exercise_parse(&exercise, text.data, text.length, NULL), EH_OK);
    eh_exercise_free(exercise);
    eh_text_add_char(&text, ' ');
    expect_bad(&text, EH_TOO_LARGE, 0, 0, "expected at most 8388608 bytes, found 8388609");
}

static void header(struct eh_text *text, const char *name, int letters) {
    eh_text_add(text, name);
    repeat_text(text, "x", letters);
    eh_text_add(text, "\n1:R");
}

Test(score_limits, header_values) {
    static const struct {
        const char *name;
        int most;
    } rows[] = {{"title:", EH_EXERCISE_TITLE_MAX},
                {"style:", EH_EXERCISE_STYLE_MAX},
                {"about:", EH_EXERCISE_ABOUT_MAX}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_text text = {0};
        char message[80];
        header(&text, rows[i].name, rows[i].most);
        expect_good(&text, NULL);
        header(&text, rows[i].name, rows[i].most + 1);
        (void)snprintf(message, sizeof message, "expected at most %d bytes here, found %d",
                       rows[i].most, rows[i].most + 1);
        expect_bad(&text, EH_TOO_LARGE, 1, 7, message);
    }
}

Test(score_limits, small_counts) {
    static const struct {
        const char *good;
        const char *bad;
        enum eh_status status;
        int line, column;
        const char *message;
    } rows[] = {
        {"1:rlrlrlrL", "1:rlrlrlrlR", EH_TOO_LARGE, 1, 3,
         "expected at most 7 grace notes before a note, found more"},
        {"metre: 64/64\n1:R", "metre: 65/64\n1:R 64:R", EH_BAD_SYNTAX, 1, 8,
         "expected a metre of 1 to 64 beats of 1, 2, 4, 8, 16, 32 or 64, found 65/64"},
        {"metre: 1/1\n1:R", "metre: 1/128\n128:R", EH_BAD_SYNTAX, 1, 8,
         "expected a metre of 1 to 64 beats of 1, 2, 4, 8, 16, 32 or 64, found 1/128"},
        {"tempo: 20 to 400\n1:R", "tempo: 20 to 401\n1:R", EH_BAD_SYNTAX, 1, 8,
         "expected a tempo from 20 to 400 quarter notes a minute, found 401.000"},
        {"1:R :|x99", "1:R :|x100", EH_BAD_SYNTAX, 1, 5,
         "expected a repeat to be played 2 to 99 times, found 100"},
        {"1:R | 1st R:| 2nd R:| 3rd R:| 4th R:| 5th R:| 6th R:| 7th R:| 8th R:| 9th R",
         "1:R | 1st 2nd 3rd 4th 5th 6th 7th 8th 9th R :| 10th R", EH_BAD_SYNTAX, 1, 48,
         "expected an ending from 1 to 9, found 10"},
        {"1:R/////", "1:R//////", EH_BAD_SYNTAX, 1, 9, "expected at most five slashes, found '/'"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_exercise *exercise = parse_or_fail(rows[i].good);
        eh_exercise_free(exercise);
        expect_error(rows[i].bad, rows[i].bad, strlen(rows[i].bad), rows[i].status, rows[i].line,
                     rows[i].column, rows[i].message);
    }
}

/* Two in the time of one, again and again: each level halves the notes in it. */
Test(score_limits, groups_four_deep_and_no_deeper) {
    expect_strokes("four deep", "metre: 1/4\n4:2in1[2in1[2in1[2in1[RL]R]L]R]",
                   SHOW_PLACE | SHOW_HAND, "1@0R 1@1/16L 1@1/8R 1@1/4L 1@1/2R");
    static const char five[] = "metre: 1/4\n4:2in1[2in1[2in1[2in1[2in1[RL]R]L]R]L]";
    expect_error("five deep", five, sizeof five - 1, EH_TOO_LARGE, 2, 23,
                 "expected groups at most 4 deep, found a deeper one");
}
