/* Up, back, again: the moves. What the passes say is visit.c's, the words are words.c's. */
#include "evenhand/ladder.h"

#include <math.h>
#include <stdlib.h>

#include "evenhand/time.h"
#include "visit.h"
#include "words.h"

/* So many passes that are not clean lead back; so many visits that led back end the climb. */
enum { UNCLEAN_MOST = 2, FAILED_MOST = 2 };

/* Tempi are the same when they would be written alike. */
static const double alike_bpm = 0.005;

static enum eh_status check(const struct eh_ladder_request *r, struct eh_error *error) {
    if (!(r->from_bpm >= EH_TEMPO_MIN) || !(r->to_bpm <= EH_TEMPO_MAX)) {
        return eh_fail(error, EH_OUT_OF_RANGE, "a ladder goes from %g to %g at most", EH_TEMPO_MIN,
                       EH_TEMPO_MAX);
    }
    if (!(r->from_bpm <= r->to_bpm)) {
        return eh_fail(error, EH_OUT_OF_RANGE,
                       "the ladder begins at %g, above its top of %g; begin with the slower tempo",
                       r->from_bpm, r->to_bpm);
    }
    if (!(r->step_bpm > 0.0) || (r->to_bpm - r->from_bpm) / r->step_bpm > EH_LADDER_RUNGS_MAX - 2) {
        return eh_fail(
            error, EH_OUT_OF_RANGE,
            "a step is more than 0 and no ladder has more than %d tempi; a step of %g is "
            "too small",
            EH_LADDER_RUNGS_MAX, r->step_bpm);
    }
    if (r->in_a_row < 0 || r->in_a_row > EH_LADDER_IN_A_ROW_MAX || r->unclear_max < 0 ||
        r->passes_max < 0 || r->seconds_max < 0.0 || r->least_n < 0.0) {
        return eh_fail(error, EH_OUT_OF_RANGE,
                       "clean passes in a row are from 1 to %d; no number is below 0",
                       EH_LADDER_IN_A_ROW_MAX);
    }
    return EH_OK;
}

static void fill_defaults(struct eh_ladder_request *r) {
    r->aspects = r->aspects == 0 ? (UINT32_C(1) << EH_ASPECT_COUNT) - 1 : r->aspects;
    r->in_a_row = r->in_a_row == 0 ? 2 : r->in_a_row;
    r->unclear_max = r->unclear_max == 0 ? 3 : r->unclear_max;
    r->passes_max = r->passes_max == 0 ? 40 : r->passes_max;
    r->least_n = r->least_n > 0.0 ? r->least_n : 8.0;
}

static void lay_rungs(struct eh_ladder *ladder) {
    const struct eh_ladder_request *r = &ladder->request;
    for (size_t i = 0; i < ladder->rung_count; i++) {
        ladder->rungs[i].bpm = r->from_bpm + (double)i * r->step_bpm;
    }
    ladder->rungs[ladder->rung_count - 1].bpm = r->to_bpm;
}

static uint8_t first_stage(const struct eh_ladder *ladder) {
    return ladder->request.hand_motion ? EH_STAGE_HAND_MOTION : EH_STAGE_PLAYED;
}

/* Where the ladder stands now: the step's numbers. */
static void stand(struct eh_ladder *ladder, enum eh_ladder_next next) {
    ladder->step.next = (uint8_t)next;
    ladder->step.bpm = ladder->rungs[ladder->rung].bpm;
    ladder->step.clean = ladder->row_clean;
    ladder->step.needed = ladder->request.in_a_row;
}

enum eh_status eh_ladder_init(struct eh_ladder *out_ladder, const struct eh_ladder_request *request,
                              struct eh_error *error) {
    *out_ladder = (struct eh_ladder){.request = *request};
    const enum eh_status status = check(request, error);
    if (status != EH_OK) {
        return status;
    }
    struct eh_ladder *l = out_ladder;
    fill_defaults(&l->request);
    const double steps = (request->to_bpm - request->from_bpm) / request->step_bpm;
    l->rung_count = (size_t)ceil(steps - 1e-9) + 1;
    l->rungs = calloc(l->rung_count, sizeof *l->rungs);
    l->row = calloc(EH_LADDER_KEYS, sizeof *l->row);
    l->shown = calloc(EH_LADDER_KEYS, sizeof *l->shown);
    if (l->rungs == NULL || l->row == NULL || l->shown == NULL) {
        eh_ladder_deinit(l);
        return eh_fail(error, EH_NO_MEMORY, "no memory for a ladder");
    }
    lay_rungs(l);
    l->step.stage = first_stage(l);
    stand(l, EH_LADDER_AGAIN);
    words_begin(l);
    return EH_OK;
}

void eh_ladder_deinit(struct eh_ladder *ladder) {
    free(ladder->rungs);
    free(ladder->row);
    free(ladder->shown);
    *ladder = (struct eh_ladder){0};
}

static struct eh_ladder_tally *tally_at(struct eh_ladder *ladder, size_t rung, uint8_t stage) {
    return &ladder->rungs[rung].stages[stage];
}

void eh_ladder_resume(struct eh_ladder *ladder, int32_t sitting) {
    if (sitting <= ladder->sitting) {
        return;
    }
    for (size_t i = 0; i < ladder->rung_count * EH_STAGE_COUNT && ladder->sitting > 0; i++) {
        struct eh_ladder_tally *t =
            tally_at(ladder, i / EH_STAGE_COUNT, (uint8_t)(i % EH_STAGE_COUNT));
        t->clean *= 0.5; /* the player is another one today: docs/ladder.md */
        t->unclean *= 0.5;
        t->failed = 0;
        t->passed = false;
    }
    ladder->sitting = sitting;
    ladder->passes = 0;
    ladder->seconds = 0.0;
    visit_begin(ladder);
    ladder->step = (struct eh_ladder_step){.stage = first_stage(ladder)};
    stand(ladder, EH_LADDER_AGAIN);
    words_begin(ladder);
}

static void go(struct eh_ladder *ladder, size_t rung, uint8_t stage, enum eh_ladder_next next) {
    ladder->rung = rung;
    ladder->step.stage = stage;
    visit_begin(ladder);
    stand(ladder, next);
}

static void end(struct eh_ladder *ladder, enum eh_ladder_end why) {
    ladder->step.end = (uint8_t)why;
    visit_begin(ladder);
    stand(ladder, EH_LADDER_DONE);
}

/* This tempo is passed: on to what follows, unless that has failed often enough. */
static void climb(struct eh_ladder *ladder) {
    const size_t rung = ladder->rung;
    const uint8_t stage = ladder->step.stage;
    struct eh_ladder_tally *t = tally_at(ladder, rung, stage);
    t->passed = true;
    t->broke = (struct eh_ladder_fault){0};
    if (stage == EH_STAGE_HAND_MOTION && !tally_at(ladder, rung, EH_STAGE_PLAYED)->passed) {
        go(ladder, rung, EH_STAGE_PLAYED, EH_LADDER_ON);
        return;
    }
    if (rung + 1 == ladder->rung_count) {
        end(ladder, EH_LADDER_TOP);
        return;
    }
    const bool motion_known = tally_at(ladder, rung + 1, EH_STAGE_HAND_MOTION)->passed;
    go(ladder, rung + 1, motion_known ? EH_STAGE_PLAYED : first_stage(ladder), EH_LADDER_UP);
}

/* This tempo failed, because of FAULT: back to the one before, or the end. */
static void fall(struct eh_ladder *ladder, const struct eh_ladder_fault *fault) {
    const size_t rung = ladder->rung;
    const uint8_t stage = ladder->step.stage;
    struct eh_ladder_tally *t = tally_at(ladder, rung, stage);
    t->failed++;
    t->broke = *fault;
    ladder->step.why = *fault;
    const bool again = t->failed >= FAILED_MOST;
    if (rung == 0) {
        if (again) {
            end(ladder, EH_LADDER_FLOOR);
        } else {
            go(ladder, 0, stage, EH_LADDER_AGAIN);
        }
        return;
    }
    if (again && tally_at(ladder, rung - 1, EH_STAGE_PLAYED)->passed) {
        ladder->rung = rung - 1; /* where another day begins */
        ladder->step.stage = first_stage(ladder);
        end(ladder, EH_LADDER_SETTLED);
        return;
    }
    go(ladder, rung - 1, stage, EH_LADDER_BACK);
}

static void fail_visit(struct eh_ladder *ladder, const struct eh_ladder_fault *together) {
    const struct eh_ladder_fault shown = visit_worst(ladder);
    const struct eh_ladder_fault fault = shown.known ? shown : *together;
    words_back(ladder, &fault);
    fall(ladder, &fault);
}

/* What the row says together is one answer more for the tempo held, where some of its passes were
 * unclear by themselves. */
static double row_answer(const struct eh_ladder *ladder) {
    return ladder->row_passes > ladder->row_clean ? 1.0 : 0.0;
}

/* The row's passes were each not clearly wrong, and together they are: as good as one more pass
 * that is not clean. */
static void take_row_for_unclean(struct eh_ladder *ladder, const struct eh_ladder_fault *together) {
    tally_at(ladder, ladder->rung, ladder->step.stage)->unclean += row_answer(ladder);
    ladder->visit_unclean++;
    ladder->step.why = *together;
    row_begin(ladder);
    if (ladder->visit_unclean >= UNCLEAN_MOST) {
        fail_visit(ladder, together);
    } else {
        stand(ladder, EH_LADDER_AGAIN);
        words_together(ladder, together);
    }
}

static void weigh_row(struct eh_ladder *ladder) {
    const struct eh_ladder_request *r = &ladder->request;
    struct eh_ladder_fault together;
    const enum row_verdict verdict = row_weigh(ladder, &together);
    const bool many = ladder->row_passes > r->in_a_row;
    const bool spent =
        ladder->visit_passes >= r->in_a_row + r->unclear_max && ladder->row_passes >= r->in_a_row;
    if (verdict == ROW_BEYOND) {
        take_row_for_unclean(ladder, &together);
    } else if (verdict == ROW_FINE && (ladder->row_clean >= r->in_a_row || many)) {
        tally_at(ladder, ladder->rung, ladder->step.stage)->clean += row_answer(ladder);
        words_passed(ladder, NULL);
        climb(ladder);
    } else if (spent && !together.known) {
        fail_visit(ladder, &together); /* nothing that was asked for could be judged */
    } else if (spent && verdict == ROW_STRADDLES) {
        tally_at(ladder, ladder->rung, ladder->step.stage)->unclean += row_answer(ladder);
        fail_visit(ladder, &together);
    } else if (spent) {
        tally_at(ladder, ladder->rung, ladder->step.stage)->clean += row_answer(ladder);
        words_passed(ladder, &together);
        climb(ladder);
    } else {
        stand(ladder, EH_LADDER_AGAIN);
        words_more(ladder, &together);
    }
}

static void count(struct eh_ladder *ladder, enum eh_ladder_answer answer) {
    struct eh_ladder_tally *t = tally_at(ladder, ladder->rung, ladder->step.stage);
    t->clean += answer == EH_PASS_CLEAN;
    t->unclean += answer == EH_PASS_UNCLEAN;
    t->clean_passes += answer == EH_PASS_CLEAN;
    t->unclean_passes += answer == EH_PASS_UNCLEAN;
    t->unclear_passes += answer == EH_PASS_UNCLEAR;
}

static void spend(struct eh_ladder *ladder, double seconds) {
    const struct eh_ladder_request *r = &ladder->request;
    ladder->passes++;
    ladder->seconds += seconds > 0.0 ? seconds : 0.0;
    const bool passes = ladder->passes >= r->passes_max;
    const bool time = r->seconds_max > 0.0 && ladder->seconds >= r->seconds_max;
    if (ladder->step.next != EH_LADDER_DONE && (passes || time)) {
        end(ladder, passes ? EH_LADDER_PASSES : EH_LADDER_TIME);
        words_spent(ladder);
    }
}

static size_t find_rung(const struct eh_ladder *ladder, double bpm) {
    for (size_t i = 0; i < ladder->rung_count; i++) {
        if (fabs(ladder->rungs[i].bpm - bpm) < alike_bpm) {
            return i;
        }
    }
    return ladder->rung_count;
}

enum eh_status eh_ladder_pass(struct eh_ladder *ladder, const struct eh_ladder_pass *pass,
                              struct eh_error *error) {
    const size_t rung = find_rung(ladder, pass->bpm);
    if (rung == ladder->rung_count || pass->stage >= EH_STAGE_COUNT) {
        return eh_fail(error, EH_OUT_OF_RANGE, "this ladder has no tempo of %g", pass->bpm);
    }
    eh_ladder_resume(ladder, pass->sitting);
    if (rung != ladder->rung || pass->stage != ladder->step.stage) {
        go(ladder, rung, pass->stage, EH_LADDER_AGAIN);
    }
    struct eh_ladder_fault worst;
    const enum eh_ladder_answer answer = visit_take(ladder, pass, &worst);
    ladder->step = (struct eh_ladder_step){
        .stage = ladder->step.stage, .answer = (uint8_t)answer, .why = worst};
    count(ladder, answer);
    if (answer == EH_PASS_UNCLEAN && ladder->visit_unclean >= UNCLEAN_MOST) {
        fail_visit(ladder, &worst);
    } else if (answer == EH_PASS_UNCLEAN) {
        stand(ladder, EH_LADDER_AGAIN);
        words_unclean(ladder, &worst);
    } else if (pass->broken_off) {
        stand(ladder, EH_LADDER_AGAIN);
        words_broken_off(ladder);
    } else {
        weigh_row(ladder);
    }
    spend(ladder, pass->seconds);
    return EH_OK;
}

/* ---- What it came to ---- */

double eh_ladder_passed(const struct eh_ladder *ladder, enum eh_ladder_stage stage) {
    double highest = NAN;
    for (size_t i = 0; i < ladder->rung_count; i++) {
        highest = ladder->rungs[i].stages[stage].passed ? ladder->rungs[i].bpm : highest;
    }
    return highest;
}

struct eh_ladder_fault eh_ladder_broke(const struct eh_ladder *ladder) {
    for (size_t i = 0; i < ladder->rung_count; i++) {
        const struct eh_ladder_tally *stages = ladder->rungs[i].stages;
        if (stages[EH_STAGE_HAND_MOTION].broke.known) {
            return stages[EH_STAGE_HAND_MOTION].broke;
        }
        if (stages[EH_STAGE_PLAYED].broke.known) {
            return stages[EH_STAGE_PLAYED].broke;
        }
    }
    return (struct eh_ladder_fault){0};
}

size_t eh_ladder_answers(const struct eh_ladder *ladder, enum eh_ladder_stage stage,
                         struct eh_held_answer *out_answers) {
    size_t n = 0;
    for (size_t i = 0; i < ladder->rung_count; i++) {
        const struct eh_ladder_tally *t = &ladder->rungs[i].stages[stage];
        if (t->clean + t->unclean > 0.0) {
            out_answers[n++] = (struct eh_held_answer){ladder->rungs[i].bpm, t->clean, t->unclean};
        }
    }
    return n;
}

bool eh_ladder_held(const struct eh_ladder *ladder, enum eh_ladder_stage stage,
                    struct eh_held *out_held) {
    struct eh_held_answer answers[EH_LADDER_RUNGS_MAX];
    struct eh_held_prior prior;
    const size_t n = eh_ladder_answers(ladder, stage, answers);
    eh_held_usual_prior(&prior, ladder->request.from_bpm, ladder->request.to_bpm);
    eh_held_estimate(out_held, &prior, answers, n);
    return n > 0;
}
