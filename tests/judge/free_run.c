#include "free_run.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "evenhand/settings.h"
#include "exercises.h"
#include "start.h"

static void must(bool good, const char *what) {
    if (!good) {
        (void)fprintf(stderr, "%s\n", what);
        abort();
    }
}

void free_run_play(struct free_run *run, const struct eh_exercise *exercise,
                   const struct free_player *player) {
    *run = (struct free_run){.plan = plan_at(exercise, 120.0, 0.0, 1)};
    free_player_play(player, &run->plan, &run->p, &run->truth);
    run->take = (struct eh_take){.hits = run->p.hits, .count = run->p.count, .resolution_ns = 1};
    must(eh_tempo_map_init(&run->take.click, 0, 777, eh_ns_per_quarter(61.8)) == EH_OK, "click");
    eh_pad_init_default(&run->pad);
    must(eh_style_shipped(&run->style, "rudimental", NULL) == EH_OK, "style");
}

void free_run_drop(struct free_run *run) {
    eh_tempo_map_deinit(&run->truth);
    eh_tempo_map_deinit(&run->take.click);
    performance_free(&run->p);
    eh_plan_deinit(&run->plan);
}

enum eh_status free_run_find(const struct free_run *run, int count_off,
                             struct eh_free_tempo *out_tempo, struct eh_error *error) {
    const struct eh_free_request request = {.count_off = count_off};
    eh_error_clear(error);
    return eh_free_tempo_find(out_tempo, run->plan.exercise, &run->take, &run->pad, &request,
                              error);
}

double free_run_f(const struct free_run *run, const struct eh_free_tempo *tempo) {
    const struct eh_plan_request request = {0};
    struct eh_plan plan;
    double cost = 0.0;
    must(eh_plan_init(&plan, run->plan.exercise, &request, &tempo->map, 0, NULL) == EH_OK, "plan");
    struct eh_match *matches = calloc(plan.due_count, sizeof *matches);
    struct eh_fate *fates = calloc(run->p.count + 1, sizeof *fates);
    must(eh_follow_take(&plan, &run->take, &run->pad, matches, fates, NULL, NULL, &cost) == EH_OK,
         "follow");
    const double f = performance_f(&run->p, &plan, matches);
    free(matches);
    free(fates);
    eh_plan_deinit(&plan);
    return f;
}

double free_run_bpm(const struct free_run *run, double halt_ms) {
    const eh_ticks last = run->plan.due[run->plan.due_count - 1].at;
    const int64_t ns = eh_tempo_map_ns(&run->truth, last) - eh_tempo_map_ns(&run->truth, 0);
    return 60000.0 * (double)last / (double)EH_TICKS_PER_QUARTER / ((double)ns / 1e6 - halt_ms);
}

static struct eh_judgement *judge(const struct free_run *run, const struct eh_take *take,
                                  const struct eh_judge_request *request) {
    struct eh_judgement *judgement = NULL;
    struct eh_error error;
    eh_error_clear(&error);
    const enum eh_status status =
        eh_judge(&judgement, run->plan.exercise, take, &run->pad, &run->style, request, &error);
    must(status == EH_OK || status == EH_NO_FIT, error.text);
    return judgement;
}

struct eh_judgement *free_run_judge(const struct free_run *run, int count_off) {
    const struct eh_judge_request request = {.no_click = true, .count_off = count_off};
    return judge(run, &run->take, &request);
}

struct eh_judgement *free_run_judge_to_truth(const struct free_run *run) {
    const struct eh_judge_request request = {0};
    struct eh_take take = run->take;
    take.click = run->truth;
    return judge(run, &take, &request);
}

const struct eh_finding *free_run_finding(const struct eh_judgement *judgement,
                                          enum eh_aspect aspect, enum eh_side side) {
    for (size_t i = 0; i < judgement->finding_count; i++) {
        if (judgement->findings[i].aspect == aspect && judgement->findings[i].side == side) {
            return &judgement->findings[i];
        }
    }
    return NULL;
}
