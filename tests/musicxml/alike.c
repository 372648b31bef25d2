#include "alike.h"

#include <criterion/criterion.h>
#include <string.h>

static void expect_words_alike(const char *name, const struct eh_exercise *a,
                               const struct eh_exercise *b) {
    cr_assert_str_eq(eh_exercise_title(a), eh_exercise_title(b), "%s", name);
    cr_assert_str_eq(eh_exercise_about(a), eh_exercise_about(b), "%s", name);
    cr_assert_str_eq(eh_exercise_style(a), eh_exercise_style(b), "%s", name);
    cr_assert_eq(eh_exercise_tempo_start(a), eh_exercise_tempo_start(b), "%s: %g and %g", name,
                 eh_exercise_tempo_start(a), eh_exercise_tempo_start(b));
    cr_assert_eq(eh_exercise_tempo_goal(a), eh_exercise_tempo_goal(b), "%s: %g and %g", name,
                 eh_exercise_tempo_goal(a), eh_exercise_tempo_goal(b));
}

static void expect_bars_alike(const char *name, const struct eh_exercise *a,
                              const struct eh_exercise *b) {
    size_t count = 0;
    size_t other = 0;
    const struct eh_bar *one = eh_exercise_bars(a, &count);
    const struct eh_bar *two = eh_exercise_bars(b, &other);
    cr_assert_eq(count, other, "%s: %zu and %zu played bars", name, count, other);
    for (size_t i = 0; i < count; i++) {
        cr_assert_eq(one[i].at, two[i].at, "%s: bar %zu", name, i);
        cr_assert_eq(one[i].length, two[i].length, "%s: bar %zu", name, i);
        cr_assert_eq(one[i].written, two[i].written, "%s: bar %zu", name, i);
        cr_assert_eq(one[i].beats, two[i].beats, "%s: bar %zu", name, i);
        cr_assert_eq(one[i].unit, two[i].unit, "%s: bar %zu", name, i);
    }
}

static void expect_stroke_alike(const char *name, size_t i, const struct eh_stroke *a,
                                const struct eh_stroke *b) {
#define SAME(FIELD)                                                                                \
    cr_assert_eq(a->FIELD, b->FIELD, "%s: stroke %zu in bar %d: " #FIELD " %lld and %lld", name,   \
                 i, (int)a->bar, (long long)a->FIELD, (long long)b->FIELD)
    SAME(at);
    SAME(in_bar);
    SAME(length);
    SAME(bar);
    SAME(played_bar);
    SAME(hand);
    SAME(kind);
    SAME(accent);
    SAME(step_milli);
    SAME(dynamic);
    SAME(hairpin);
    SAME(grace_count);
    SAME(grace_rank);
    SAME(roll);
#undef SAME
}

static void expect_hairpins_alike(const char *name, const struct eh_exercise *a,
                                  const struct eh_exercise *b) {
    size_t count = 0;
    size_t other = 0;
    const struct eh_hairpin *one = eh_exercise_hairpins(a, &count);
    const struct eh_hairpin *two = eh_exercise_hairpins(b, &other);
    cr_assert_eq(count, other, "%s: %zu and %zu hairpins", name, count, other);
    for (size_t i = 0; i < count; i++) {
        cr_assert_eq(one[i].from, two[i].from, "%s: hairpin %zu", name, i);
        cr_assert_eq(one[i].to, two[i].to, "%s: hairpin %zu", name, i);
        cr_assert_eq(one[i].from_dynamic, two[i].from_dynamic, "%s: hairpin %zu", name, i);
        cr_assert_eq(one[i].to_dynamic, two[i].to_dynamic, "%s: hairpin %zu", name, i);
    }
}

void expect_alike(const char *name, const struct eh_exercise *a, const struct eh_exercise *b) {
    size_t count = 0;
    size_t other = 0;
    const struct eh_stroke *one = eh_exercise_strokes(a, &count);
    const struct eh_stroke *two = eh_exercise_strokes(b, &other);
    expect_words_alike(name, a, b);
    expect_bars_alike(name, a, b);
    for (size_t i = 0; i < count && i < other; i++) {
        expect_stroke_alike(name, i, &one[i], &two[i]);
    }
    cr_assert_eq(count, other, "%s: %zu and %zu strokes", name, count, other);
    expect_hairpins_alike(name, a, b);
}

struct eh_exercise *read_or_fail(const char *name, const void *bytes, size_t length,
                                 struct eh_musicxml_remarks *remarks) {
    struct eh_exercise *exercise = NULL;
    struct eh_error error;
    const enum eh_status status = eh_musicxml_read(&exercise, bytes, length, NULL, remarks, &error);
    cr_assert_eq(status, EH_OK, "%s: line %d: %s", name, error.line, error.text);
    return exercise;
}
