#include "describe_reading.h"

#include <criterion/criterion.h>
#include <string.h>

#include "evenhand/exercise_text.h"

struct eh_reading read_or_fail(const char *text) {
    struct eh_exercise *exercise = NULL;
    struct eh_error error;
    eh_error_clear(&error);
    const enum eh_status status = eh_exercise_parse(&exercise, text, strlen(text), &error);
    cr_assert_eq(status, EH_OK, "%s: %s", text, error.text);
    struct eh_reading reading;
    cr_assert_eq(eh_reading_make(&reading, exercise), EH_OK);
    eh_exercise_free(exercise); /* a reading refers to nothing of it */
    return reading;
}

typedef void (*describer)(const struct eh_reading_place *place, struct eh_text *out);

static void describe(const struct eh_reading *reading, describer one, struct eh_text *out) {
    for (size_t b = 0; b < reading->bar_count; b++) {
        const struct eh_reading_bar *bar = &reading->bars[b];
        eh_text_add(out, b == 0 ? "" : " |");
        for (size_t i = bar->first; i < bar->first + bar->count; i++) {
            eh_text_add(out, i == 0 ? "" : " ");
            one(&reading->places[i], out);
        }
    }
}

static void one_count(const struct eh_reading_place *place, struct eh_text *out) {
    eh_text_printf(out, place->strokes == 0 ? "(%s)" : "%s", place->count);
}

static void one_eighth(const struct eh_reading_place *place, struct eh_text *out) {
    eh_text_printf(out, place->strokes == 0 ? "(%s)" : "%s", place->eighth);
}

static void one_hand(const struct eh_reading_place *place, struct eh_text *out) {
    static const char *const empty[] = {"?", "-", "_", "."};
    for (int k = 0; k < place->grace_count; k++) {
        eh_text_add(out, place->grace_hands >> k & 1 ? "r" : "l");
    }
    if (place->strokes == 0) {
        eh_text_add(out, empty[place->kind]);
        return;
    }
    eh_text_add(out, eh_hand_letter((enum eh_hand)place->hand));
    if (place->strokes > 1) {
        eh_text_printf(out, "%u", place->strokes);
    }
    eh_text_add(out, place->buzz ? "z" : "");
    eh_text_add(out, place->accent == 0 ? "" : place->accent == 1 ? ">" : "^");
}

void describe_counts(const struct eh_reading *reading, struct eh_text *out) {
    describe(reading, one_count, out);
}

void describe_eighths(const struct eh_reading *reading, struct eh_text *out) {
    describe(reading, one_eighth, out);
}

void describe_hands(const struct eh_reading *reading, struct eh_text *out) {
    describe(reading, one_hand, out);
}
