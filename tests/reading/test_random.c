/* What must hold of the reading of any exercise. */
#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/reading.h"
#include "random_exercise.h"

enum { EXERCISES = 1000 };

/* The main strokes and grace notes of a written bar's first playing. */
static void count_played(const struct eh_exercise *exercise, int32_t bar, size_t *mains,
                         size_t *graces) {
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    int32_t played = -1;
    for (size_t i = 0; i < count; i++) {
        if (strokes[i].bar != bar || (played >= 0 && strokes[i].played_bar != played)) {
            continue;
        }
        played = strokes[i].played_bar;
        *mains += strokes[i].kind != EH_KIND_GRACE;
        *graces += strokes[i].kind == EH_KIND_GRACE;
    }
}

static void expect_bar(const struct eh_exercise *exercise, const struct eh_reading *reading,
                       size_t index, uint64_t seed) {
    const struct eh_reading_bar *bar = &reading->bars[index];
    size_t mains = 0;
    size_t graces = 0;
    for (size_t i = bar->first; i < bar->first + bar->count; i++) {
        const struct eh_reading_place *place = &reading->places[i];
        cr_assert(place->at >= 0 && place->at < bar->length);
        cr_assert(i == bar->first || place->at > place[-1].at);
        cr_assert_gt(strlen(place->count), 0);
        cr_assert_eq(strlen(place->eighth) > 0, bar->dotted);
        cr_assert(place->kind == EH_PLACE_STROKE || place->grace_count == 0);
        cr_assert(place->kind != EH_PLACE_REST || place->strokes == 0);
        mains += place->strokes;
        graces += place->grace_count;
    }
    size_t due_mains = 0;
    size_t due_graces = 0;
    count_played(exercise, bar->number, &due_mains, &due_graces);
    cr_assert_eq(mains, due_mains, "seed %d, bar %d: %zu strokes of %zu", (int)seed,
                 (int)bar->number, mains, due_mains);
    cr_assert_eq(graces, due_graces, "seed %d, bar %d", (int)seed, (int)bar->number);
}

/* Every beat that falls into a bar is counted, by its number, once; no other place has one. */
static void expect_beats(const struct eh_reading *reading, const struct eh_reading_bar *bar) {
    for (size_t i = bar->first; i < bar->first + bar->count; i++) {
        const struct eh_reading_place *place = &reading->places[i];
        const eh_ticks at = place->at + bar->offset;
        char number[16];
        (void)snprintf(number, sizeof number, "%d", (int)(at / bar->beat) + 1);
        cr_assert_eq(strcmp(place->count, number) == 0, at % bar->beat == 0);
    }
    eh_ticks next = (bar->offset + bar->beat - 1) / bar->beat * bar->beat;
    for (size_t i = bar->first; i < bar->first + bar->count; i++) {
        next += reading->places[i].at + bar->offset == next ? bar->beat : 0;
    }
    cr_assert_geq(next, bar->offset + bar->length, "a beat is left out");
}

Test(reading_random, every_stroke_stands_in_one_place_and_every_beat_is_counted) {
    size_t rolls = 0;
    for (uint64_t seed = 1; seed <= EXERCISES; seed++) {
        struct eh_exercise *exercise = random_exercise(seed);
        struct eh_reading reading;
        cr_assert_eq(eh_reading_make(&reading, exercise), EH_OK);
        cr_assert_eq(reading.bar_count, (size_t)eh_exercise_bar_count(exercise));
        for (size_t i = 0; i < reading.bar_count; i++) {
            expect_bar(exercise, &reading, i, seed);
            expect_beats(&reading, &reading.bars[i]);
        }
        for (size_t i = 0; i < reading.roll_count; i++) {
            uint32_t strokes = 0;
            for (size_t k = reading.rolls[i].first; k <= reading.rolls[i].last; k++) {
                strokes += reading.places[k].strokes;
                cr_assert_eq(reading.places[k].roll, (int32_t)i);
            }
            cr_assert_eq(strokes, reading.rolls[i].strokes, "seed %d", (int)seed);
        }
        rolls += reading.roll_count;
        eh_reading_deinit(&reading);
        eh_exercise_free(exercise);
    }
    cr_assert_gt(rolls, EXERCISES / 4);
}
