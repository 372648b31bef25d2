#include "evenhand/judgement.h"

#include <math.h>
#include <stdlib.h>

#include "own_beat.h"
#include "start.h"

/* The plan on the click, from where the exercise begins. */
static enum eh_status lay_on_click(struct eh_judgement *j, const struct eh_judge_request *request,
                                   struct eh_error *error) {
    eh_ticks start = request->start;
    enum eh_status status = EH_OK;
    if (request->find_start) {
        status = eh_find_start(j->exercise, j->take, j->pad, &request->plan, &start, error);
    }
    if (status != EH_OK) {
        return status;
    }
    j->bpm = eh_bpm(eh_tempo_map_ns_per_quarter(&j->take->click, start));
    return eh_plan_init(&j->plan, j->exercise, &request->plan, &j->take->click, start, error);
}

/* The plan on the player's own tempo. */
static enum eh_status lay_on_playing(struct eh_judgement *j, const struct eh_judge_request *request,
                                     struct eh_error *error) {
    const struct eh_free_request wanted = {request->plan, request->count_off, request->broken_off};
    const enum eh_status status =
        eh_free_tempo_find(&j->free_tempo, j->exercise, j->take, j->pad, &wanted, error);
    if (status != EH_OK) {
        return status;
    }
    j->no_click = true;
    j->bpm = j->free_tempo.bpm;
    return eh_plan_init(&j->plan, j->exercise, &request->plan, &j->free_tempo.map, 0, error);
}

static enum eh_status lay_out(struct eh_judgement *j, const struct eh_judge_request *request,
                              struct eh_error *error) {
    const enum eh_status status =
        request->no_click ? lay_on_playing(j, request, error) : lay_on_click(j, request, error);
    if (status != EH_OK) {
        return status;
    }
    j->start_ns = j->plan.start_ns;
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

/* Places where the player waited are courses too: a stop that left nothing out. */
static enum eh_status add_halts(struct eh_judgement *j) {
    const struct eh_free_tempo *tempo = &j->free_tempo;
    if (tempo->halt_count == 0) {
        return EH_OK;
    }
    struct eh_course *courses =
        realloc(j->courses, (j->course_count + tempo->halt_count) * sizeof *courses);
    if (courses == NULL) {
        return EH_NO_MEMORY;
    }
    j->courses = courses;
    for (size_t i = 0; i < tempo->halt_count; i++) {
        const struct eh_free_halt *halt = &tempo->halts[i];
        const int64_t at_ns = eh_tempo_map_ns(&tempo->map, halt->at) - halt->excess_ns;
        size_t k = j->course_count++;
        for (; k > 0 && courses[k - 1].at_ns > at_ns; k--) {
            courses[k] = courses[k - 1];
        }
        courses[k] = (struct eh_course){EH_COURSE_STOP, halt->due, at_ns};
    }
    return EH_OK;
}

static bool is_any_silent(const struct eh_judge_request *request) {
    for (size_t i = 0; request->silent != NULL && i < request->silent_count; i++) {
        if (request->silent[i]) {
            return true;
        }
    }
    return false;
}

/* Follows along the player's own beat where the click was silent. */
static enum eh_status follow_along(struct eh_judgement *j, const struct eh_judge_request *request,
                                   double *out_agreement) {
    struct eh_plan own = {0};
    double cost = 0.0;
    const bool by_click = request->no_click || !is_any_silent(request);
    enum eh_status status = by_click ? EH_OK
                                     : own_beat_lay(&own, &j->plan, request->silent,
                                                    request->silent_count, j->take, j->pad);
    if (status == EH_OK) {
        status =
            eh_follow_take_agreeing(by_click ? &j->plan : &own, j->take, j->pad, j->matches,
                                    j->fates, &j->courses, &j->course_count, &cost, out_agreement);
    }
    eh_plan_deinit(&own);
    return status;
}

static enum eh_status follow(struct eh_judgement *j, const struct eh_judge_request *request,
                             struct eh_error *error) {
    double agreement = 0.0;
    const enum eh_status status = follow_along(j, request, &agreement);
    if (status != EH_OK) {
        return eh_fail(error, status, "no memory to follow %zu hits", j->take->count);
    }
    if (agreement < EH_LEAST_AGREEMENT) {
        return eh_fail(
            error, EH_NO_FIT,
            "this take is not that exercise: only %.0f %% of what was played and what is "
            "written go together, where %.0f %% are needed; check the exercise's name, "
            "the bars, and where it begins (--start BAR)",
            100.0 * agreement, 100.0 * EH_LEAST_AGREEMENT);
    }
    return EH_OK;
}

static enum eh_status run(struct eh_judgement *j, const struct eh_judge_request *request,
                          struct eh_error *error) {
    enum eh_status status = lay_out(j, request, error);
    if (status != EH_OK) {
        return status;
    }
    status = follow(j, request, error);
    if (status != EH_OK) {
        return status;
    }
    count(j);
    if (add_halts(j) != EH_OK) {
        return eh_fail(error, EH_NO_MEMORY, "no memory to judge %zu hits", j->take->count);
    }
    const struct eh_measure_input input = {.plan = &j->plan,
                                           .hits = j->take->hits,
                                           .hit_count = j->take->count,
                                           .matches = j->matches,
                                           .fates = j->fates,
                                           .pad = j->pad,
                                           .style = j->style,
                                           .resolution_ns =
                                               eh_pad_resolution_ns(j->pad, j->take->resolution_ns),
                                           .free_tempo = j->no_click ? &j->free_tempo : NULL};
    status = eh_measure(&input, j);
    j->offset_ms = j->no_click ? NAN : j->offset_ms;
    return status;
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
        eh_free_tempo_deinit(&judgement->free_tempo);
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
