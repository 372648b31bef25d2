/* Repeats and endings: in which order the written bars are played. */
#include <criterion/criterion.h>
#include <string.h>

#include "describe.h"

struct row {
    const char *name;
    const char *text;
    const char *order; /* written bars, as digits */
};

static const struct row rows[] = {
    {"none", "4:R | R | R", "123"},
    {"from the beginning without |:", "4:R | R :| R", "12123"},
    {"from the last :| without |:", "4:R :| R | R :| R", "112323 4"},
    {"between signs", "4:R |: R | R :| R", "1232 34"},
    {"four times", "4:R |: R :|x4 R", "122223"},
    {"two in a row, shared sign", "|: 4:R :|: R :|", "1122"},
    {"two endings", "|: 4:R | 1st R :| 2nd R | R", "12134"},
    {"two endings without |:", "4:R | 1st R :| 2nd R", "1213"},
    {"three endings", "|: 4:R | 1st R :| 2nd R :| 3rd R", "121314"},
    {"an ending for two passes", "|: 4:R | 1st 2nd R :| 3rd R", "121213"},
    {"an ending for the second and third", "|: 4:R | 1st R :| 2nd 3rd R :| 4th R | R",
     "12131314 5"},
    {"endings of two bars", "|: 4:R | 1st R | R :| 2nd R | R", "12314 5"},
    {"a repeat before a body with endings", "4:R :| R | 1st R :| 2nd R", "11232 4"},
    {"again after endings", "|: 4:R | 1st R :| 2nd R |: R :|", "121344"},
};

/* Drops the spaces that keep rows readable. */
static void expected_order(const char *order, struct eh_text *out) {
    for (; *order != '\0'; order++) {
        if (*order != ' ') {
            eh_text_add_char(out, *order);
        }
    }
}

Test(score_repeats, bars_are_played_in_the_order_of_their_signs) {
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_text text = {0};
        struct eh_text expected = {0};
        struct eh_text found = {0};
        eh_text_printf(&text, "metre: 1/4\n%s", rows[i].text);
        expected_order(rows[i].order, &expected);
        struct eh_exercise *exercise = parse_or_fail(text.data);
        size_t count = 0;
        const struct eh_bar *bars = eh_exercise_bars(exercise, &count);
        for (size_t k = 0; k < count; k++) {
            eh_text_printf(&found, "%d", (int)bars[k].written);
            cr_assert_eq(bars[k].at, (eh_ticks)k * EH_TICKS_PER_QUARTER);
        }
        cr_assert_str_eq(found.data, expected.data, "%s: expected %s, found %s", rows[i].name,
                         expected.data, found.data);
        expect_round_trip(rows[i].name, exercise);
        eh_exercise_free(exercise);
        eh_text_deinit(&text);
        eh_text_deinit(&expected);
        eh_text_deinit(&found);
    }
}

Test(score_repeats, strokes_know_their_written_and_their_played_bar) {
    struct eh_exercise *exercise = parse_or_fail("metre: 1/4\n|: 4:R | 1st 8:R L :| 2nd 8:-L");
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    static const int written[] = {1, 2, 2, 1, 3};
    static const int played[] = {0, 1, 1, 2, 3};
    static const int halves[] = {0, 2, 3, 4, 7};
    cr_assert_eq(count, 5);
    for (size_t i = 0; i < count; i++) {
        cr_assert_eq(strokes[i].bar, written[i]);
        cr_assert_eq(strokes[i].played_bar, played[i]);
        cr_assert_eq(strokes[i].at, halves[i] * EH_TICKS_PER_QUARTER / 2);
    }
    eh_exercise_free(exercise);
}

Test(score_repeats, a_hold_prolongs_what_was_played_before_it) {
    expect_strokes("into both endings", "metre: 1/4\n|: 4:R | 1st 8:_L :| 2nd 8:_R",
                   SHOW_AT | SHOW_HAND | SHOW_LENGTH, "0R=3/2 3/2L=1/2 2R=3/2 7/2R=1/2");
}
