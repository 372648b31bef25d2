/* The exercises that come with the program. */
#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

#include "describe.h"

/* Counted by hand from the notation. */
struct shipped {
    const char *name;
    const char *style;
    int written, played; /* bars */
    int strokes;
    int doubles; /* of each hand */
    int accents;
    int marks; /* different dynamics */
};

static const struct shipped table[] = {
    {"single-strokes", "rudimental", 16, 16, 199, 0, 0, 1},
    {"double-strokes", "rudimental", 17, 17, 397, 76, 0, 1},
    {"five-stroke-rolls", "rudimental", 17, 17, 253, 44, 47, 1},
    {"nine-stroke-rolls", "rudimental", 17, 17, 275, 54, 29, 1},
    {"paradiddles-with-accents", "rudimental", 16, 16, 261, 29, 72, 1},
    {"accents-over-taps", "rudimental", 16, 16, 237, 0, 70, 1},
    {"warm-up-singles-to-roll", "rudimental", 11, 20, 379, 66, 0, 1},
    {"concert-accent-line", "concert", 17, 17, 222, 0, 55, 3},
};

enum { SHIPPED = (int)(sizeof table / sizeof table[0]), LONGEST_RUN_S = 75 };

static struct eh_exercise *read_shipped(const char *name) {
    struct eh_text path = {0};
    struct eh_text text = {0};
    eh_text_printf(&path, "exercises/%s.txt", name);
    read_source_file(path.data, &text);
    struct eh_exercise *exercise = parse_or_fail(text.data);
    eh_text_deinit(&path);
    eh_text_deinit(&text);
    return exercise;
}

static int count_marks(const struct eh_stroke *strokes, size_t count) {
    bool seen[EH_DYNAMIC_COUNT] = {false};
    int marks = 0;
    for (size_t i = 0; i < count; i++) {
        marks += !seen[strokes[i].dynamic];
        seen[strokes[i].dynamic] = true;
    }
    return marks;
}

static void expect_counts(const struct shipped *shipped, const struct eh_exercise *exercise) {
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    int doubles[2] = {0};
    int accents = 0;
    for (size_t i = 0; i < count; i++) {
        doubles[strokes[i].hand] += strokes[i].kind == EH_KIND_FIRST;
        accents += strokes[i].accent != 0;
    }
    cr_assert_eq(count, (size_t)shipped->strokes, "%s: %zu", shipped->name, count);
    cr_assert_eq(doubles[EH_HAND_LEFT], shipped->doubles, "%s", shipped->name);
    cr_assert_eq(doubles[EH_HAND_RIGHT], shipped->doubles, "%s", shipped->name);
    cr_assert_eq(accents, shipped->accents, "%s", shipped->name);
    cr_assert_eq(count_marks(strokes, count), shipped->marks, "%s", shipped->name);
}

Test(score_shipped, each_exercise_reads_prints_and_holds_what_was_counted_in_it) {
    for (int i = 0; i < SHIPPED; i++) {
        struct eh_exercise *exercise = read_shipped(table[i].name);
        size_t played = 0;
        (void)eh_exercise_bars(exercise, &played);
        cr_assert_eq(eh_exercise_bar_count(exercise), table[i].written, "%s", table[i].name);
        cr_assert_eq(played, (size_t)table[i].played, "%s", table[i].name);
        expect_counts(&table[i], exercise);
        expect_round_trip(table[i].name, exercise);
        eh_exercise_free(exercise);
    }
}

Test(score_shipped, each_says_what_it_is_and_lasts_no_longer_than_a_run_should) {
    for (int i = 0; i < SHIPPED; i++) {
        struct eh_exercise *exercise = read_shipped(table[i].name);
        const double beats = (double)eh_exercise_length(exercise) / (double)EH_TICKS_PER_QUARTER;
        cr_assert_str_not_empty(eh_exercise_title(exercise));
        cr_assert_str_not_empty(eh_exercise_about(exercise));
        cr_assert_str_eq(eh_exercise_style(exercise), table[i].style);
        cr_assert_leq(beats * 60.0 / eh_exercise_tempo_start(exercise), LONGEST_RUN_S);
        cr_assert_lt(eh_exercise_tempo_start(exercise), eh_exercise_tempo_goal(exercise));
        eh_exercise_free(exercise);
    }
}

/* The end of the open roll that begins with stroke FIRST. */
static size_t roll_end(const struct eh_stroke *strokes, size_t count, size_t first) {
    while (first < count && strokes[first].roll) {
        first++;
    }
    return first;
}

static void expect_rolls(const char *name, size_t n) {
    struct eh_exercise *exercise = read_shipped(name);
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    size_t i = 0;
    while (i < count) {
        if (!strokes[i].roll) {
            i++;
            continue;
        }
        const size_t end = roll_end(strokes, count, i);
        cr_assert_eq(end - i + 1, n, "%s: bar %d: a roll of %zu", name, (int)strokes[i].bar,
                     end - i + 1);
        cr_assert_lt(end, count);
        cr_assert_eq(strokes[end].accent, 1, "%s: bar %d", name, (int)strokes[i].bar);
        cr_assert_eq(strokes[end].hand, strokes[i].hand, "%s: bar %d", name, (int)strokes[i].bar);
        i = end;
    }
    eh_exercise_free(exercise);
}

/* Common practice, no source: five and nine strokes close with an accent, on the hand that began,
 * since two and four doubles lie between. */
Test(score_shipped, rolls_have_their_number_and_close_with_an_accent) {
    expect_rolls("five-stroke-rolls", 5);
    expect_rolls("nine-stroke-rolls", 9);
}

/* Common practice, no source: hands alternate, a double counting as one; nothing else comes twice
 * from one hand. The warm-up works on one hand at a time, and the concert line uses natural
 * sticking: these two are left out. */
Test(score_shipped, hands_alternate_but_for_the_doubles) {
    for (int i = 0; i < SHIPPED; i++) {
        if (strcmp(table[i].name, "warm-up-singles-to-roll") == 0 ||
            strcmp(table[i].style, "concert") == 0) {
            continue;
        }
        struct eh_exercise *exercise = read_shipped(table[i].name);
        size_t count = 0;
        const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
        for (size_t k = 1; k < count; k++) {
            const bool second = strokes[k].kind == EH_KIND_SECOND;
            cr_assert_eq(strokes[k].hand == strokes[k - 1].hand, second, "%s: bar %d",
                         table[i].name, (int)strokes[k].bar);
        }
        eh_exercise_free(exercise);
    }
}

/* Natural sticking, common practice, no source: the right hand takes beats and eighth-note
 * offbeats, the left the 16ths between; triplets alternate. */
Test(score_shipped, the_concert_line_is_stuck_naturally) {
    struct eh_exercise *exercise = read_shipped("concert-accent-line");
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    const eh_ticks sixteenth = EH_TICKS_PER_QUARTER / 4;
    for (size_t i = 0; i < count; i++) {
        const bool triplet = strokes[i].length == EH_TICKS_PER_QUARTER / 3;
        const bool between = strokes[i].in_bar / sixteenth % 2 != 0;
        cr_assert(triplet || (strokes[i].hand == EH_HAND_LEFT) == between, "bar %d",
                  (int)strokes[i].bar);
        cr_assert(!triplet || i == 0 || strokes[i].hand != strokes[i - 1].hand ||
                  strokes[i].in_bar == 0);
    }
    eh_exercise_free(exercise);
}
