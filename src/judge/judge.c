#include "evenhand/judgement.h"

#include <math.h>
#include <stdlib.h>

#include "start.h"

static enum eh_status lay_out(struct eh_judgement *j, const struct eh_judge_request *request,
                              struct eh_error *error) {
    eh_ticks start = request->start;
    enum eh_status status = EH_OK;
    if (request->find_start) {
        status = eh_find_start(j->exercise, j->take, j->pad, &request->plan, &start, error);
    }
    if (status != EH_OK) {
        return status;
    }
    status = eh_plan_init(&j->plan, j->exercise, &request->plan, &j->take->click, start, error);
    if (status != EH_OK) {
        return status;
    }
    j->start_ns = j->plan.start_ns;
    j->bpm = eh_bpm(eh_tempo_map_ns_per_quarter(&j->take->click, start));
    j->matches = calloc(j->plan.due_count, sizeof *j->matches);
    j->fates = calloc(j->take->count, sizeof *j->fates);
    if (j->matches == NULL || j->fates == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "no memory to judge %zu hits", j->take->count);
    }
    return EH_OK;
}

static void count(struct eh_judgement *j) {
    for (size_t i = 0; i < j->plan.due_count; i++) {
        j->matched += j->matches[i].hit != EH_NO_HIT;
    }
    j->missed = (uint32_t)j->plan.due_count - j->matched;
    for (size_t i = 0; i < j->take->count; i++) {
        j->extra += j->fates[i].kind == EH_FATE_EXTRA;
        j->double_triggers += j->fates[i].kind == EH_FATE_DOUBLE_TRIGGER;
    }
}

static enum eh_status run(struct eh_judgement *j, const struct eh_judge_request *request,
                          struct eh_error *error) {
    enum eh_status status = lay_out(j, request, error);
    if (status != EH_OK) {
        return status;
    }
    double cost = 0.0;
    status = eh_follow_take(&j->plan, j->take, j->pad, j->matches, j->fates, &j->courses,
                            &j->course_count, &cost);
    if (status != EH_OK) {
        return eh_fail(error, status, "no memory to follow %zu hits", j->take->count);
    }
    count(j);
    const struct eh_measure_input input = {.plan = &j->plan,
                                           .hits = j->take->hits,
                                           .hit_count = j->take->count,
                                           .matches = j->matches,
                                           .fates = j->fates,
                                           .pad = j->pad,
                                           .style = j->style,
                                           .resolution_ns = j->take->resolution_ns};
    return eh_measure(&input, j);
}

enum eh_status eh_judge(struct eh_judgement **out_judgement, const struct eh_exercise *exercise,
                        const struct eh_take *take, const struct eh_pad *pad,
                        const struct eh_style *style, const struct eh_judge_request *request,
                        struct eh_error *error) {
    *out_judgement = NULL;
    if (take->count == 0) {
        return eh_fail(error, EH_EMPTY, "there is no hit of the pad in this take");
    }
    struct eh_judgement *j = calloc(1, sizeof *j);
    if (j == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "no memory for a judgement");
    }
    j->exercise = exercise;
    j->take = take;
    j->style = style;
    j->pad = pad;
    j->offset_ms = NAN;
    j->drift_percent = NAN;
    const enum eh_status status = run(j, request, error);
    if (status != EH_OK) {
        eh_judgement_free(j);
        return status;
    }
    *out_judgement = j;
    return EH_OK;
}

void eh_judgement_free(struct eh_judgement *judgement) {
    if (judgement != NULL) {
        eh_plan_deinit(&judgement->plan);
        free(judgement->matches);
        free(judgement->fates);
        free(judgement->courses);
        free(judgement);
    }
}

double eh_judgement_offset_ms(const struct eh_judgement *judgement, size_t due) {
    const struct eh_match *match = &judgement->matches[due];
    if (match->hit == EH_NO_HIT) {
        return NAN;
    }
    const int64_t played_ns = judgement->take->hits[match->hit].at_ns;
    const int64_t due_ns = judgement->plan.due[due].at_ns + match->shift_ns;
    return (double)(played_ns - due_ns) / (double)EH_NS_PER_MS;
}
