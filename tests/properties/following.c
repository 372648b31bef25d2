#include "following.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/report.h"

bool following_begin(struct following *out, const struct sample *sample) {
    struct eh_error error;
    *out = (struct following){.sample = sample};
    if (eh_plan_init(&out->plan, sample->exercise, &sample->request.plan, &sample->take.click,
                     sample->request.start, &error) != EH_OK) {
        return false;
    }
    out->matches = calloc(out->plan.due_count, sizeof *out->matches);
    out->fates = calloc(sample->take.count + 1, sizeof *out->fates);
    const struct eh_follow_room room = {.hits = sample->take.hits,
                                        .matches = out->matches,
                                        .fates = out->fates,
                                        .hit_capacity = sample->take.count};
    if (out->matches == NULL || out->fates == NULL ||
        eh_follower_new(&out->follower, &out->plan, &sample->pad, &room) != EH_OK) {
        abort();
    }
    return true;
}

void following_end(struct following *f) {
    eh_follower_finish(f->follower);
    const struct eh_course *courses = eh_follower_courses(f->follower, &f->course_count);
    f->courses = calloc(f->course_count + 1, sizeof *f->courses);
    if (f->courses == NULL) {
        abort();
    }
    memcpy(f->courses, courses, f->course_count * sizeof *courses);
    f->cost = eh_follower_cost(f->follower);
    eh_follower_free(f->follower);
    f->follower = NULL;
}

void following_deinit(struct following *f) {
    eh_follower_free(f->follower);
    eh_plan_deinit(&f->plan);
    free(f->matches);
    free(f->fates);
    free(f->courses);
    *f = (struct following){0};
}

static void count(const struct following *f, struct eh_judgement *j) {
    for (size_t i = 0; i < f->plan.due_count; i++) {
        j->matched += f->matches[i].hit != EH_NO_HIT;
        j->missed += f->matches[i].hit == EH_NO_HIT;
    }
    for (size_t i = 0; i < f->sample->take.count; i++) {
        j->extra += f->fates[i].kind == EH_FATE_EXTRA;
        j->double_triggers += f->fates[i].kind == EH_FATE_DOUBLE_TRIGGER;
    }
}

void following_json(const struct following *f, struct eh_text *out) {
    const struct sample *s = f->sample;
    struct eh_judgement *j = calloc(1, sizeof *j);
    const struct eh_measure_input input = {.plan = &f->plan,
                                           .hits = s->take.hits,
                                           .hit_count = s->take.count,
                                           .matches = f->matches,
                                           .fates = f->fates,
                                           .pad = &s->pad,
                                           .style = &s->style,
                                           .resolution_ns = s->take.resolution_ns};
    if (j == NULL) {
        abort();
    }
    *j = (struct eh_judgement){
        .exercise = s->exercise,
        .take = &s->take,
        .style = &s->style,
        .pad = &s->pad,
        .plan = f->plan,
        .matches = f->matches,
        .fates = f->fates,
        .courses = f->courses,
        .course_count = f->course_count,
        .start_ns = f->plan.start_ns,
        .bpm = eh_bpm(eh_tempo_map_ns_per_quarter(&s->take.click, s->request.start)),
        .offset_ms = NAN,
        .drift_percent = NAN};
    count(f, j);
    if (eh_measure(&input, j) != EH_OK || eh_report_json(j, out) != EH_OK) {
        abort();
    }
    free(j);
}
