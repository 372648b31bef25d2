#include "placed.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/demo.h"
#include "evenhand/exercise_text.h"
#include "evenhand/settings.h"

static void must(enum eh_status status, const char *what, const struct eh_error *error) {
    if (status != EH_OK) {
        (void)fprintf(stderr, "%s: %s\n", what, error->text);
        exit(1);
    }
}

static void read_exercise(struct placed *out, const char *etude) {
    static char text[16384];
    char name[512];
    struct eh_error error = {0};
    (void)snprintf(name, sizeof name, "%s/exercises/etudes/%s.txt", EVENHAND_SOURCE_DIR, etude);
    FILE *file = fopen(name, "rb");
    const size_t length = file != NULL ? fread(text, 1, sizeof text, file) : 0;
    if (file == NULL || fclose(file) != 0 || length == 0 || length == sizeof text) {
        (void)fprintf(stderr, "%s cannot be read\n", name);
        exit(1);
    }
    must(eh_exercise_parse(&out->exercise, text, length, &error), name, &error);
    must(eh_style_shipped(&out->style, eh_exercise_style(out->exercise), &error), "style", &error);
}

static void make_hits(struct placed *out, const struct eh_plan *plan,
                      const struct placed_ask *ask) {
    struct eh_demo_request request = {
        .seed = ask->seed, .style = &out->style, .no_click = !ask->click};
    struct eh_error error = {0};
    struct eh_demo demo;
    must(eh_demo_faults_read(request.faults, &request.fault_count, ask->faults, &error),
         ask->faults, &error);
    must(eh_demo_init(&demo, plan, &request, &error), ask->faults, &error);
    must(eh_demo_hits(&demo, &out->take), "hits", &error);
}

bool placed_play(struct placed *out, const struct placed_ask *ask) {
    const struct eh_plan_request whole = {.passes = 1};
    const struct eh_judge_request request = {.plan = whole, .no_click = !ask->click};
    struct eh_error error = {0};
    struct eh_plan plan;
    *out = (struct placed){.exercise = NULL};
    read_exercise(out, ask->etude);
    must(eh_take_init(&out->take, "demo", (struct eh_metre_change){0, 4, 4}, 0,
                      eh_ns_per_quarter(ask->bpm)),
         "take", &error);
    must(eh_plan_init(&plan, out->exercise, &whole, &out->take.click, 0, &error), "plan", &error);
    make_hits(out, &plan, ask);
    eh_plan_deinit(&plan);
    eh_pad_init_default(&out->pad);
    if (eh_judge(&out->judgement, out->exercise, &out->take, &out->pad, &out->style, &request,
                 &error) != EH_OK) {
        return false;
    }
    must(eh_places_find(&out->places, out->judgement), "places", &error);
    must(eh_tempo_course_find(&out->course, out->judgement), "course", &error);
    return true;
}

void placed_deinit(struct placed *placed) {
    eh_places_deinit(&placed->places);
    eh_judgement_free(placed->judgement);
    eh_take_deinit(&placed->take);
    eh_exercise_free(placed->exercise);
}
