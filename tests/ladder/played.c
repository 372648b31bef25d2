#include "played.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/demo.h"
#include "evenhand/exercise_text.h"
#include "evenhand/settings.h"
#include "random.h"

const struct played_case played_cases[PLAYED_CASES] = {
    {"late left seconds", "|: 16:R/L/ 8:R> 16:L/R/ 8:L> :|x4", "late-left-seconds",
     EH_ASPECT_DIDDLE_SPACING, EH_SIDE_LEFT, EH_DIRECTION_LATE, 1},
    {"early right seconds", "|: 16:R/L/ 8:R> 16:L/R/ 8:L> :|x4", "early-right-seconds",
     EH_ASPECT_DIDDLE_SPACING, EH_SIDE_RIGHT, EH_DIRECTION_EARLY, 1},
    {"weak left seconds", "|: 16:R/L/ 8:R> 16:L/R/ 8:L> :|x4", "weak-left-seconds",
     EH_ASPECT_DIDDLE_LEVEL, EH_SIDE_LEFT, EH_DIRECTION_WEAK, 1},
    {"late right hand", "|: 16:R>LRL RLRL L>RLR LRLR :|x2", "late-right", EH_ASPECT_HAND_TIMING,
     EH_SIDE_BOTH, EH_DIRECTION_RIGHT_LATE, 1},
    {"strong left hand", "|: 16:RLRL RLRL RLRL RLRL :|x2", "strong-left", EH_ASPECT_HAND_LEVEL,
     EH_SIDE_BOTH, EH_DIRECTION_RIGHT_SOFT, 1},
    {"unsteady", "|: 16:RLRL RLRL RLRL RLRL :|x4", "unsteady", EH_ASPECT_TIMING, EH_SIDE_BOTH,
     EH_DIRECTION_NONE, 1}};

/* Plays and judges one pass, and tells the ladder. */
static enum eh_status hear(const struct played *p, const struct eh_take *take,
                           struct eh_ladder *ladder) {
    const struct eh_judge_request request = {.plan = {.passes = p->passes}};
    const struct eh_exercise *exercise =
        ladder->step.stage == EH_STAGE_HAND_MOTION ? p->motion : p->exercise;
    struct eh_judgement *judgement = NULL;
    struct eh_pad pad;
    struct eh_ladder_pass pass = {
        .bpm = ladder->step.bpm, .stage = ladder->step.stage, .sitting = 1, .seconds = 20.0};
    eh_pad_init_default(&pad);
    enum eh_status status = eh_judge(&judgement, exercise, take, &pad, p->style, &request, NULL);
    if (status == EH_OK) {
        pass.level_scale_sd = pad.levels.scale_sd;
        pass.findings = judgement->findings;
        pass.finding_count = judgement->finding_count;
        status = eh_ladder_pass(ladder, &pass, NULL);
    }
    eh_judgement_free(judgement);
    return status;
}

static enum eh_status play(const struct played *p, struct eh_ladder *ladder, int number) {
    const struct eh_exercise *exercise =
        ladder->step.stage == EH_STAGE_HAND_MOTION ? p->motion : p->exercise;
    const struct eh_bar *bar = eh_exercise_bars(exercise, NULL);
    const struct eh_plan_request asked = {.passes = p->passes};
    struct eh_demo_request request = {.seed = p->seed * 1000 + (uint64_t)number, .style = p->style};
    struct eh_take take = {0};
    struct eh_plan plan = {0};
    struct eh_demo demo;
    enum eh_status status =
        eh_take_init(&take, "demo", (struct eh_metre_change){0, bar->beats, bar->unit}, 0,
                     eh_ns_per_quarter(ladder->step.bpm));
    if (status == EH_OK) {
        status = eh_plan_init(&plan, exercise, &asked, &take.click, 0, NULL);
    }
    if (status == EH_OK) {
        status = eh_demo_faults_read(request.faults, &request.fault_count, p->fault, NULL);
    }
    if (status == EH_OK) {
        status = eh_demo_init(&demo, &plan, &request, NULL);
    }
    if (status == EH_OK) {
        status = eh_demo_hits(&demo, &take);
    }
    if (status == EH_OK) {
        status = hear(p, &take, ladder);
    }
    eh_plan_deinit(&plan);
    eh_take_deinit(&take);
    return status;
}

int played_climb(const struct played *played, struct eh_ladder *ladder) {
    int passes = 0;
    while (ladder->step.next != EH_LADDER_DONE) {
        if (play(played, ladder, passes++) != EH_OK) {
            return -1;
        }
    }
    return passes;
}

static void count_one(struct played_counts *out, const struct played_case *c,
                      const struct eh_ladder *ladder, double truth) {
    const double step = ladder->request.step_bpm;
    const struct eh_ladder_fault broke = eh_ladder_broke(ladder);
    struct eh_held held;
    out->settled += ladder->step.end == EH_LADDER_SETTLED;
    out->named += broke.known && broke.aspect == c->aspect && broke.side == c->side &&
                  broke.direction == c->direction;
    if (eh_ladder_held(ladder, EH_STAGE_PLAYED, &held)) {
        out->near += fabs(eh_ladder_passed(ladder, EH_STAGE_PLAYED) - truth) <= step &&
                     fabs(held.bpm - truth) <= step;
        out->covered += held.low <= truth && truth <= held.high;
    }
}

void played_run(struct played_counts *out, const struct played_case *c, double step, int runs) {
    char text[400];
    struct eh_exercise *exercise = NULL;
    struct eh_style style;
    struct eh_random random;
    *out = (struct played_counts){0};
    (void)snprintf(text, sizeof text, "metre: %s\n%s\n",
                   strstr(c->bars, "8:") != NULL ? "2/4" : "4/4", c->bars);
    if (eh_style_shipped(&style, "rudimental", NULL) != EH_OK ||
        eh_exercise_parse(&exercise, text, strlen(text), NULL) != EH_OK) {
        return;
    }
    eh_random_seed(&random, 11, (uint64_t)(c - played_cases));
    for (int run = 0; run < runs; run++) {
        const struct eh_ladder_request request = {
            .from_bpm = 70, .to_bpm = 120, .step_bpm = step, .passes_max = 200};
        const double truth = 70 + step + (50 - 2 * step) * eh_random_unit(&random);
        char fault[80];
        struct eh_ladder ladder;
        (void)snprintf(fault, sizeof fault, "%s@%.3f", c->fault, truth);
        const struct played played = {.exercise = exercise,
                                      .style = &style,
                                      .fault = fault,
                                      .passes = c->passes,
                                      .seed = (uint64_t)run + 1};
        if (eh_ladder_init(&ladder, &request, NULL) == EH_OK) {
            const int passes = played_climb(&played, &ladder);
            out->passes += passes;
            if (passes > 0) {
                count_one(out, c, &ladder, truth);
            }
        }
        eh_ladder_deinit(&ladder);
    }
    eh_exercise_free(exercise);
}
