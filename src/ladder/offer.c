#include "evenhand/offer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double one_tempo = 1.02;
static const double unclean_share = 0.25;

enum { CLEAN_LEAST = 2 };

/* The ladder's own answer: it is told of one pass, at a ladder of this tempo alone. */
static enum eh_status ask_ladder(struct eh_offer_run *run, const struct eh_judgement *judgement) {
    const struct eh_ladder_request request = {.from_bpm = run->bpm,
                                              .to_bpm = run->bpm,
                                              .step_bpm = 1.0,
                                              .least_n = judgement->style->least_n};
    const struct eh_ladder_pass pass = {.bpm = run->bpm,
                                        .stage = EH_STAGE_PLAYED,
                                        .sitting = 1,
                                        .level_scale_sd = judgement->pad->levels.scale_sd,
                                        .findings = judgement->findings,
                                        .finding_count = judgement->finding_count};
    struct eh_ladder ladder;
    struct eh_error error;
    eh_error_clear(&error);
    enum eh_status status = eh_ladder_init(&ladder, &request, &error);
    if (status != EH_OK) {
        return status;
    }
    status = eh_ladder_pass(&ladder, &pass, &error);
    run->answer = ladder.step.answer;
    run->why = ladder.step.why;
    eh_ladder_deinit(&ladder);
    return status;
}

/* How far beyond its limit, in limits. */
static double excess(const struct eh_finding *f) {
    const bool above = f->value > f->limit_high;
    const double limit = above ? f->limit_high : f->limit_low;
    const double width =
        isfinite(f->limit_high - f->limit_low) ? f->limit_high - f->limit_low : fabs(limit);
    return fabs(f->value - limit) / fmax(width, 1e-9);
}

static void take_place(struct eh_offer_run *run, const struct eh_place *place) {
    const struct eh_finding *f = &place->finding;
    run->answer = EH_PASS_UNCLEAN;
    run->first_bar = place->first_bar;
    run->last_bar = place->last_bar;
    run->why = (struct eh_ladder_fault){.known = true,
                                        .bpm = run->bpm,
                                        .aspect = f->aspect,
                                        .side = f->side,
                                        .verdict = f->verdict,
                                        .direction = f->direction,
                                        .passes = 1,
                                        .e = {f->value, f->low, f->high, f->n},
                                        .limit_low = f->limit_low,
                                        .limit_high = f->limit_high};
    memcpy(run->why.unit, f->unit, sizeof run->why.unit);
}

enum eh_status eh_offer_answer(struct eh_offer_run *run, const struct eh_judgement *judgement,
                               const struct eh_places *places) {
    const enum eh_status status = ask_ladder(run, judgement);
    double worst = 0.0;
    run->first_bar = run->last_bar = 0;
    if (status != EH_OK || run->answer == EH_PASS_UNCLEAN) {
        return status;
    }
    for (size_t i = 0; i < places->count; i++) {
        for (size_t k = 0; k < places->located[i].place_count; k++) {
            const struct eh_place *place = &places->located[i].places[k];
            if (run->answer != EH_PASS_UNCLEAN || excess(&place->finding) > worst) {
                worst = excess(&place->finding);
                take_place(run, place);
            }
        }
    }
    return EH_OK;
}

static int compare(const void *a, const void *b) {
    const struct eh_offer_run *x = a;
    const struct eh_offer_run *y = b;
    if (x->bpm < y->bpm || x->bpm > y->bpm) {
        return x->bpm < y->bpm ? -1 : 1;
    }
    return (x->number > y->number) - (x->number < y->number);
}

static void add_run(struct eh_offer_tempo *t, const struct eh_offer_run *run) {
    t->bpm += (run->bpm - t->bpm) / (double)(t->count + 1);
    t->count++;
    t->clean += run->answer == EH_PASS_CLEAN;
    t->unclean += run->answer == EH_PASS_UNCLEAN;
    t->unclear += run->answer == EH_PASS_UNCLEAR;
    t->latest_day = run->day > t->latest_day ? run->day : t->latest_day;
    if (run->answer == EH_PASS_CLEAN && run->day > t->latest_clean_day) {
        t->latest_clean_day = run->day;
    }
}

static void group(struct eh_offer *out, const struct eh_offer_run *runs, size_t count) {
    double begin = 0.0;
    for (size_t i = 0; i < count; i++) {
        if (i == 0 || runs[i].bpm >= begin * one_tempo) {
            begin = runs[i].bpm;
            out->tempi[out->tempo_count++] = (struct eh_offer_tempo){
                .first = i, .latest_day = INT64_MIN, .latest_clean_day = INT64_MIN};
        }
        add_run(&out->tempi[out->tempo_count - 1], &runs[i]);
    }
}

static enum eh_status estimate(struct eh_offer *out, struct eh_held_prior *prior,
                               struct eh_held_answer **out_answers) {
    struct eh_held_answer *answers = calloc(out->tempo_count + 1, sizeof *answers);
    *out_answers = answers;
    if (answers == NULL) {
        return EH_NO_MEMORY;
    }
    for (size_t i = 0; i < out->tempo_count; i++) {
        const struct eh_offer_tempo *t = &out->tempi[i];
        answers[i] = (struct eh_held_answer){t->bpm, t->clean, t->unclean};
        out->held_known = out->held_known || t->clean + t->unclean > 0;
    }
    eh_held_usual_prior(prior, out->tempi[0].bpm, out->tempi[out->tempo_count - 1].bpm);
    eh_held_estimate(&out->held, prior, answers, out->tempo_count);
    return EH_OK;
}

static bool is_clean(const struct eh_offer *offer, const struct eh_offer_tempo *t) {
    const double all = (double)t->clean + (double)t->unclean;
    return t->clean >= CLEAN_LEAST && (double)t->unclean <= unclean_share * all &&
           (offer->held.open_high || t->bpm <= offer->held.high);
}

static void choose(struct eh_offer *out) {
    for (size_t i = 0; i < out->tempo_count; i++) {
        if (is_clean(out, &out->tempi[i])) {
            out->kind = EH_OFFER_CLEAN;
            out->chosen = i;
        }
    }
    for (size_t i = 0; i < out->tempo_count && out->kind != EH_OFFER_CLEAN; i++) {
        if (out->tempi[i].clean > 0 && out->tempi[i].clean >= out->tempi[i].unclean) {
            out->kind = EH_OFFER_SINGLE;
            out->chosen = i;
        }
    }
}

enum eh_status eh_offer_make(struct eh_offer *out, struct eh_offer_run *runs, size_t count) {
    struct eh_held_prior prior;
    struct eh_held_answer *answers = NULL;
    *out = (struct eh_offer){.kind = EH_OFFER_NONE};
    if (count == 0) {
        return EH_OK;
    }
    out->tempi = calloc(count, sizeof *out->tempi);
    if (out->tempi == NULL) {
        return EH_NO_MEMORY;
    }
    qsort(runs, count, sizeof *runs, compare);
    group(out, runs, count);
    const enum eh_status status = estimate(out, &prior, &answers);
    if (status == EH_OK) {
        choose(out);
    }
    if (status == EH_OK && out->kind != EH_OFFER_NONE) {
        out->clean_chance =
            eh_held_clean_at(&prior, answers, out->tempo_count, out->tempi[out->chosen].bpm);
    }
    free(answers);
    if (status != EH_OK) {
        eh_offer_deinit(out);
    }
    return status;
}

void eh_offer_deinit(struct eh_offer *offer) {
    free(offer->tempi);
    *offer = (struct eh_offer){.kind = EH_OFFER_NONE};
}
