#include "climbs.h"

#include <math.h>
#include <stdlib.h>

#include "learner.h"

const struct climb_setting climb_settings[CLIMB_SETTINGS] = {{70, 120, 4, 2},  {70, 120, 5, 2},
                                                             {70, 120, 10, 2}, {80, 100, 2, 2},
                                                             {70, 120, 5, 3},  {100, 180, 8, 2}};

enum { RUNS_MAX = 5000, SHARE_PASSES = 3000 };

static double held_shares[32]; /* of gradual learners, by fault; made once */

static double truth_of(const struct learner *learner) {
    if (!learner->gradual) {
        return learner->bpm;
    }
    if (held_shares[learner->fault] == 0.0) {
        held_shares[learner->fault] = learner_held_share(learner->fault, SHARE_PASSES);
    }
    return learner->bpm * held_shares[learner->fault];
}

static void make_learner(struct learner *learner, const struct climb_setting *s, bool gradual,
                         int run) {
    size_t faults = 0;
    (void)learner_faults(&faults);
    *learner = (struct learner){.fault = (size_t)run % faults, .gradual = gradual};
    eh_random_seed(&learner->random, (uint64_t)run + 1, 1000 + (uint64_t)(s->step * 10.0));
    const double low = s->from + s->step;
    const double high = s->to - s->step;
    learner->bpm = low + (high - low) * eh_random_unit(&learner->random);
    learner->map_error = 0.05 * eh_random_normal(&learner->random);
}

static void count_one(struct climbs *c, const struct learner *learner, struct eh_ladder *ladder,
                      double step) {
    size_t n = 0;
    const struct learner_fault *fault = &learner_faults(&n)[learner->fault];
    const struct eh_ladder_fault broke = eh_ladder_broke(ladder);
    const double truth = truth_of(learner);
    struct eh_held held;
    c->ladder_near += fabs(eh_ladder_passed(ladder, EH_STAGE_PLAYED) - truth) <= step;
    c->named += broke.known && broke.aspect == fault->aspect && broke.side == fault->side &&
                broke.direction == fault->direction;
    if (eh_ladder_held(ladder, EH_STAGE_PLAYED, &held)) {
        c->held_near += fabs(held.bpm - truth) <= step;
        c->covered += held.low <= truth && truth <= held.high;
        c->width += (held.high - held.low) / held.bpm;
    }
}

static int compare(const void *a, const void *b) {
    return *(const int *)a - *(const int *)b;
}

void climbs_run(struct climbs *out, const struct climb_setting *setting, bool gradual, int runs) {
    static int passes[RUNS_MAX];
    *out = (struct climbs){0};
    runs = runs < RUNS_MAX ? runs : RUNS_MAX;
    for (int run = 0; run < runs; run++) {
        const struct eh_ladder_request request = {.from_bpm = setting->from,
                                                  .to_bpm = setting->to,
                                                  .step_bpm = setting->step,
                                                  .in_a_row = setting->in_a_row,
                                                  .passes_max = 200};
        struct eh_ladder ladder;
        struct learner learner;
        make_learner(&learner, setting, gradual, run);
        if (eh_ladder_init(&ladder, &request, NULL) != EH_OK) {
            return;
        }
        passes[run] = learner_climb(&learner, &ladder, 1);
        out->passes += passes[run];
        count_one(out, &learner, &ladder, setting->step);
        eh_ladder_deinit(&ladder);
    }
    qsort(passes, (size_t)runs, sizeof *passes, compare);
    out->most = passes[runs - 1];
    out->most_of_nine = passes[runs * 9 / 10 - 1];
}
