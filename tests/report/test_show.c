/* An exercise as it is read: nothing is wider than asked for, every stroke stands in it once, and
 * what happens at once stands in one column. */
#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "evenhand/reading.h"
#include "evenhand/report.h"
#include "random_exercise.h"

enum { EXERCISES = 400 };

static void show(const struct eh_exercise *exercise, int width, struct eh_text *out) {
    struct eh_reading reading;
    const struct eh_report_look look = {.width = width};
    cr_assert_eq(eh_reading_make(&reading, exercise), EH_OK);
    cr_assert_eq(
        eh_report_exercise(exercise, &reading, 1, eh_exercise_bar_count(exercise), &look, out),
        EH_OK);
    eh_reading_deinit(&reading);
}

/* The strokes that a row of hands shows: R, L, r, l; "R*8" is eight of them. */
static size_t strokes_in(const char *line, size_t length) {
    size_t strokes = 0;
    for (size_t i = 8; i < length; i++) {
        if (line[i] == '*') {
            strokes += strtoul(line + i + 1, NULL, 10) - 1;
        } else {
            strokes += strchr("RLrl", line[i]) != NULL;
        }
    }
    return strokes;
}

/* Those of each written bar's first playing. */
static size_t strokes_due(const struct eh_exercise *exercise) {
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    int32_t *played = calloc((size_t)eh_exercise_bar_count(exercise) + 1, sizeof *played);
    size_t due = 0;
    for (size_t i = 0; i < count; i++) {
        int32_t *first = &played[strokes[i].bar];
        *first = *first == 0 ? strokes[i].played_bar + 1 : *first;
        due += *first == strokes[i].played_bar + 1;
    }
    free(played);
    return due;
}

/* Of LENGTH bytes of UTF-8 in which every character takes one column. */
static size_t columns_of(const char *line, size_t length) {
    size_t columns = 0;
    for (size_t i = 0; i < length; i++) {
        columns += ((unsigned char)line[i] & 0xC0u) != 0x80u;
    }
    return columns;
}

static void expect_page(const struct eh_exercise *exercise, const char *page, int width,
                        uint64_t seed) {
    size_t strokes = 0;
    for (const char *line = page; *line != '\0';) {
        const size_t length = strcspn(line, "\n");
        cr_assert_leq(columns_of(line, length), (size_t)width, "seed %d at %d: %.*s", (int)seed,
                      width, (int)length, line);
        cr_assert(length == 0 || line[length - 1] != ' ', "spaces at the end of a line");
        strokes += strncmp(line, "hand    ", 8) == 0 ? strokes_in(line, length) : 0;
        line += length + (line[length] == '\n');
    }
    cr_assert_eq(strokes, strokes_due(exercise), "seed %d at %d: %zu strokes of %zu\n%s", (int)seed,
                 width, strokes, strokes_due(exercise), page);
}

Test(report_show, every_stroke_stands_once_in_lines_no_wider_than_asked_for) {
    static const int widths[] = {60, 80, 120};
    for (uint64_t seed = 1; seed <= EXERCISES; seed++) {
        struct eh_exercise *exercise = random_exercise(seed);
        for (size_t i = 0; i < sizeof widths / sizeof widths[0]; i++) {
            struct eh_text page = {0};
            show(exercise, widths[i], &page);
            expect_page(exercise, eh_text_string(&page), widths[i], seed);
            eh_text_deinit(&page);
        }
        eh_exercise_free(exercise);
    }
}

/* The lines from the one that begins with "bar" on. */
static void expect_shown(const char *text, int width, const char *expected) {
    struct eh_exercise *exercise = NULL;
    struct eh_text page = {0};
    cr_assert_eq(eh_exercise_parse(&exercise, text, strlen(text), NULL), EH_OK);
    show(exercise, width, &page);
    const char *bars = strstr(eh_text_string(&page), "\nbar ");
    cr_assert_not_null(bars);
    cr_expect_str_eq(bars + 1, expected, "%s", bars + 1);
    eh_text_deinit(&page);
    eh_exercise_free(exercise);
}

Test(report_show, counts_accents_hands_rolls_and_levels_stand_above_each_other) {
    expect_shown("| f 16:R/L/R/L/ 4:R> dim 8:lRL 4:- | p 4:RL 2:- |", 80,
                 "bar        1  4/4\n"
                 "count   |  1  e  &  a   2            3     &     (4)           |\n"
                 "accent                  >\n"
                 "hand    |  RR LL RR LL  R           lR     L      -            |\n"
                 "roll       \\ 9 on 16ths /\n"
                 "motion     R  L  R  L   R\n"
                 "level      f 9 in                    f 9 in ------------------->\n"
                 "\n"
                 "bar        2\n"
                 "count   |  1    2   (3)  (4)   |\n"
                 "hand    |  R    L    -         |\n"
                 "level      p 3 in\n"
                 "\n"
                 "Signs: (2) counted, not struck; - a rest; lR a flam; RR two even strokes in the\n"
                 "       time of one count; \\_5_/ a roll and its number of strokes; motion: what\n"
                 "       the wrists do under it\n");
}

Test(report_show, dotted_beats_are_counted_twice_and_repeats_endings_and_pick_ups_are_named) {
    expect_shown("metre: 6/8\n| pickup 8:L |: 8:RLR 4.:R | 1st 4.:R 4:L 8:R :| 2nd 4.:R - "
                 "|: 2/4 4:Rz Lz :|x4",
                 80,
                 "bar        1  6/8  pick-up    2                      3  ending 1\n"
                 "count   |  li              |  1  la li  2         |  1         2     li   |\n"
                 "8ths    |  6               |  1  2  3   4         |  1         4     6    |\n"
                 "hand    |  L               |: R  L  R   R         |  R         L     R   :|\n"
                 "level      mf 6 in\n"
                 "\n"
                 "bar        4  ending 2    5  2/4\n"
                 "count   |  1  (2)      |  1   2    |\n"
                 "8ths    |  1  (4)\n"
                 "hand    |  R   -       |: Rz  Lz  :|x4\n"
                 "roll                      \\ 2 _/\n"
                 "motion                    R   L\n"
                 "\n"
                 "Signs: (2) counted, not struck; - a rest; Rz a press: the stick bounces on;\n"
                 "       motion: what the wrists do under it\n");
}
