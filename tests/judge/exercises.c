#include "exercises.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"

const char *const shipped_exercises[] = {
    "single-strokes",          "double-strokes",           "five-stroke-rolls",
    "nine-stroke-rolls",       "paradiddles-with-accents", "accents-over-taps",
    "warm-up-singles-to-roll", "concert-accent-line",      NULL};

struct eh_exercise *parse_exercise(const char *text) {
    struct eh_exercise *exercise = NULL;
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_exercise_parse(&exercise, text, strlen(text), &error) != EH_OK) {
        fprintf(stderr, "%d:%d: %s\n", error.line, error.column, error.text);
        return NULL;
    }
    return exercise;
}

struct eh_exercise *read_exercise(const char *name) {
    char path[512];
    (void)snprintf(path, sizeof path, "%s/exercises/%s.txt", EVENHAND_SOURCE_DIR, name);
    FILE *file = fopen(path, "rb");
    if (file == NULL) {
        fprintf(stderr, "%s: cannot be opened\n", path);
        return NULL;
    }
    static char text[1 << 20];
    const size_t length = fread(text, 1, sizeof text - 1, file);
    text[length] = '\0';
    (void)fclose(file);
    return parse_exercise(text);
}

struct eh_plan plan_at(const struct eh_exercise *exercise, double bpm, double start_ms,
                       int passes) {
    struct eh_tempo_map click;
    struct eh_plan plan;
    struct eh_error error;
    const struct eh_plan_request request = {.passes = passes, .gap = passes > 1 ? 4 * 20160 : 0};
    if (eh_tempo_map_init(&click, 0, (int64_t)(start_ms * 1e6), eh_ns_per_quarter(bpm)) != EH_OK ||
        eh_plan_init(&plan, exercise, &request, &click, 0, &error) != EH_OK) {
        abort();
    }
    eh_tempo_map_deinit(&click);
    return plan;
}
