#include "describe.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "fraction.h"

static void add_quarters(struct eh_text *out, eh_ticks ticks) {
    const struct score_fraction f = score_fraction(ticks, EH_TICKS_PER_QUARTER);
    eh_text_printf(out, f.under == 1 ? "%lld" : "%lld/%lld", f.over, f.under);
}

static char hand_letter(const struct eh_stroke *stroke) {
    const char *letters = stroke->kind == EH_KIND_GRACE ? "lr" : "LR";
    return letters[stroke->hand];
}

static void add_marks(const struct eh_stroke *stroke, unsigned show, struct eh_text *out) {
    static const char *const kinds[] = {"", "1", "2", "", "z"};
    static const char *const accents[] = {"", ">", "^"};
    if (show & SHOW_KIND) {
        eh_text_add(out, kinds[stroke->kind]);
    }
    if (show & SHOW_ACCENT) {
        eh_text_add(out, accents[stroke->accent]);
    }
    if ((show & SHOW_ROLL) && stroke->roll) {
        eh_text_add(out, "/");
    }
    if (show & SHOW_LENGTH) {
        eh_text_add(out, "=");
        add_quarters(out, stroke->length);
    }
    if (show & SHOW_LEVEL) {
        eh_text_printf(out, ":%d", stroke->step_milli);
    }
}

void describe_strokes(const struct eh_exercise *exercise, unsigned show, struct eh_text *out) {
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    for (size_t i = 0; i < count; i++) {
        const struct eh_stroke *stroke = &strokes[i];
        eh_text_add(out, i == 0 ? "" : " ");
        if (show & SHOW_PLACE) {
            eh_text_printf(out, "%d@", (int)stroke->bar);
            add_quarters(out, stroke->in_bar);
        }
        if (show & SHOW_AT) {
            add_quarters(out, stroke->at);
        }
        if (show & SHOW_HAND) {
            eh_text_add_char(out, hand_letter(stroke));
        }
        add_marks(stroke, show, out);
    }
}

struct eh_exercise *parse_or_fail(const char *text) {
    struct eh_exercise *exercise = NULL;
    struct eh_error error;
    const enum eh_status status = eh_exercise_parse(&exercise, text, strlen(text), &error);
    cr_assert_eq(status, EH_OK, "%d:%d: %s in\n%s", error.line, error.column, error.text, text);
    return exercise;
}

void expect_strokes(const char *name, const char *text, unsigned show, const char *expected) {
    struct eh_exercise *exercise = parse_or_fail(text);
    struct eh_text found = {0};
    describe_strokes(exercise, show, &found);
    cr_assert_str_eq(eh_text_string(&found), expected, "%s: expected\n%s\nfound\n%s", name,
                     expected, eh_text_string(&found));
    eh_text_deinit(&found);
    expect_round_trip(name, exercise);
    eh_exercise_free(exercise);
}

void expect_round_trip(const char *name, const struct eh_exercise *exercise) {
    struct eh_text once = {0};
    struct eh_text twice = {0};
    cr_assert_eq(eh_exercise_print(exercise, &once), EH_OK);
    struct eh_exercise *again = parse_or_fail(eh_text_string(&once));
    cr_assert(eh_exercise_equal(exercise, again), "%s: reads differently once printed:\n%s", name,
              once.data);
    cr_assert_eq(eh_exercise_print(again, &twice), EH_OK);
    cr_assert_str_eq(once.data, twice.data, "%s: prints differently the second time", name);
    struct eh_text strokes = {0};
    struct eh_text strokes_again = {0};
    describe_strokes(exercise, ~0u, &strokes);
    describe_strokes(again, ~0u, &strokes_again);
    cr_assert_str_eq(strokes.data, strokes_again.data, "%s: other strokes once printed", name);
    eh_text_deinit(&strokes);
    eh_text_deinit(&strokes_again);
    eh_text_deinit(&once);
    eh_text_deinit(&twice);
    eh_exercise_free(again);
}

void expect_error(const char *name, const char *text, size_t length, enum eh_status status,
                  int line, int column, const char *message) {
    struct eh_exercise *exercise = NULL;
    struct eh_error error;
    const enum eh_status found = eh_exercise_parse(&exercise, text, length, &error);
    cr_assert_eq(found, status, "%s: expected '%s', found '%s' (%d:%d: %s)", name,
                 eh_status_text(status), eh_status_text(found), error.line, error.column,
                 error.text);
    cr_assert_null(exercise, "%s: an exercise in spite of the error", name);
    cr_assert(error.line == line && error.column == column, "%s: expected %d:%d, found %d:%d: %s",
              name, line, column, error.line, error.column, error.text);
    cr_assert_eq(error.status, status);
    if (message != NULL) {
        cr_assert_str_eq(error.text, message, "%s: expected\n%s\nfound\n%s", name, message,
                         error.text);
    }
    cr_assert_eq(eh_exercise_parse(&exercise, text, length, NULL), status, "%s: without error",
                 name);
}

void read_source_file(const char *path, struct eh_text *out) {
    char full[1024];
    (void)snprintf(full, sizeof full, "%s/%s", EVENHAND_SOURCE_DIR, path);
    FILE *file = fopen(full, "rb");
    cr_assert_not_null(file, "cannot open %s", full);
    char buffer[4096];
    size_t length = 0;
    while ((length = fread(buffer, 1, sizeof buffer, file)) > 0) {
        eh_text_add_bytes(out, buffer, length);
    }
    cr_assert_eq(ferror(file), 0);
    (void)fclose(file);
}
