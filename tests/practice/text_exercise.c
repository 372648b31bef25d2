#include "text_exercise.h"

#include <stdio.h>
#include <stdlib.h>

#include "evenhand/exercise_text.h"

static void stop(const char *what, const struct eh_error *error) {
    (void)fprintf(stderr, "%s: %d:%d: %s\n", what, error->line, error->column, error->text);
    abort();
}

struct eh_exercise *text_exercise(const char *metre, const char *bars) {
    struct eh_text text = {0};
    struct eh_exercise *exercise = NULL;
    struct eh_error error = {0};
    eh_text_printf(&text, "title: a test\ntempo: 80 to 120\nmetre: %s\n\n%s\n",
                   metre != NULL ? metre : "4/4", bars);
    if (eh_exercise_parse(&exercise, text.data, text.length, &error) != EH_OK) {
        stop(bars, &error);
    }
    eh_text_deinit(&text);
    return exercise;
}

void text_plan(struct eh_plan *out_plan, const struct eh_exercise *exercise, double bpm, int passes,
               eh_ticks gap) {
    struct eh_tempo_map click = {0};
    struct eh_error error = {0};
    const struct eh_plan_request request = {.passes = passes, .gap = gap};
    if (eh_tempo_map_init(&click, 0, 0, eh_ns_per_quarter(bpm)) != EH_OK ||
        eh_plan_init(out_plan, exercise, &request, &click, 0, &error) != EH_OK) {
        stop("plan", &error);
    }
    eh_tempo_map_deinit(&click);
}
