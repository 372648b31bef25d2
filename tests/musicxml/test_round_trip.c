/* What we write as MusicXML is read as the same: every shipped exercise, and thousands of random
 * ones that hold whatever the rules allow. */
#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "alike.h"
#include "evenhand/exercise_text.h"
#include "random_exercise.h"
#include "shipped.h"

enum { EXERCISES = 2000 };

static void expect_no_remarks(const char *name, const struct eh_musicxml_remarks *remarks) {
    for (size_t i = 0; i < remarks->count; i++) {
        /* A closed roll over a quarter or more is said to be one press; nothing else is odd. */
        cr_assert_neq(strstr(remarks->rows[i].text, "closed roll"), NULL, "%s: measure %s: %s",
                      name, remarks->rows[i].measures, remarks->rows[i].text);
    }
}

static void expect_round_trip(const char *name, const struct eh_exercise *exercise, bool packed) {
    struct eh_text bytes = {0};
    struct eh_musicxml_remarks remarks = {0};
    const enum eh_status status =
        packed ? eh_musicxml_write_packed(exercise, &bytes) : eh_musicxml_write(exercise, &bytes);
    cr_assert_eq(status, EH_OK, "%s", name);
    struct eh_exercise *again = read_or_fail(name, bytes.data, bytes.length, &remarks);
    expect_no_remarks(name, &remarks);
    expect_alike(name, exercise, again);
    eh_musicxml_remarks_deinit(&remarks);
    eh_exercise_free(again);
    eh_text_deinit(&bytes);
}

/* A stored run keeps the exercise as our text: nothing of it may get lost there. */
static void expect_text_holds_it(const char *name, const struct eh_exercise *exercise) {
    struct eh_text bytes = {0};
    struct eh_text text = {0};
    struct eh_exercise *again = NULL;
    struct eh_error error;
    cr_assert_eq(eh_musicxml_write(exercise, &bytes), EH_OK);
    struct eh_exercise *read = read_or_fail(name, bytes.data, bytes.length, NULL);
    cr_assert_eq(eh_exercise_print(read, &text), EH_OK);
    cr_assert_eq(eh_exercise_parse(&again, text.data, text.length, &error), EH_OK, "%s: %d:%d: %s",
                 name, error.line, error.column, error.text);
    cr_assert(eh_exercise_equal(read, again), "%s", name);
    expect_alike(name, exercise, again);
    eh_exercise_free(read);
    eh_exercise_free(again);
    eh_text_deinit(&bytes);
    eh_text_deinit(&text);
}

Test(musicxml_round_trip, every_random_exercise_comes_back) {
    for (uint64_t seed = 1; seed <= EXERCISES; seed++) {
        char name[32];
        struct eh_exercise *exercise = random_exercise(seed);
        (void)snprintf(name, sizeof name, "seed %d", (int)seed);
        expect_round_trip(name, exercise, seed % 8 == 0);
        if (seed % 8 == 1) {
            expect_text_holds_it(name, exercise);
        }
        eh_exercise_free(exercise);
    }
}

static void check_shipped(const char *path, const struct eh_exercise *exercise) {
    expect_round_trip(path, exercise, false);
    expect_round_trip(path, exercise, true);
    expect_text_holds_it(path, exercise);
}

Test(musicxml_round_trip, every_shipped_exercise_comes_back) {
    cr_assert_geq(for_each_shipped(check_shipped), 76); /* the forty rudiments, and the library */
}

Test(musicxml_round_trip, the_same_exercise_gives_the_same_bytes) {
    struct eh_exercise *exercise = random_exercise(7);
    struct eh_text one = {0};
    struct eh_text two = {0};
    cr_assert_eq(eh_musicxml_write_packed(exercise, &one), EH_OK);
    cr_assert_eq(eh_musicxml_write_packed(exercise, &two), EH_OK);
    cr_assert_eq(one.length, two.length);
    cr_assert_eq(memcmp(one.data, two.data, one.length), 0);
    eh_text_deinit(&one);
    eh_text_deinit(&two);
    eh_exercise_free(exercise);
}
