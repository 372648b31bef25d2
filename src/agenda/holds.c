/* What does not fail: rested for days, ready for a little more, or seen too seldom. */
#include <math.h>

#include "candidate.h"
#include "evidence.h"

enum { RESTED_DAYS = 2, SECTION_BARS = 8 };
static const double section_s = 40.0;

/* Against what fails (score about 0.3 to 1.3). */
static const double held_score = 0.15;
static const double once_score = 0.2;

/* The fault that is furthest beyond its limit; NULL: none. */
static const struct eh_finding *worst_of(const struct eh_agenda_run *run) {
    const struct eh_finding *worst = NULL;
    double most = -1.0;
    for (size_t i = 0; i < run->finding_count; i++) {
        const struct eh_finding *f = &run->findings[i];
        if (f->fault != EH_FAULT_YES) {
            continue;
        }
        const double over = fmax(isnan(f->limit_high) ? 0.0 : f->value - f->limit_high,
                                 isnan(f->limit_low) ? 0.0 : f->limit_low - f->value);
        const double scale = fmax(fabs(isnan(f->limit_high) ? f->limit_low : f->limit_high), 1e-9);
        const double own = over / scale * sqrt(f->n + 1.0);
        if (own > most) {
            most = own;
            worst = f;
        }
    }
    return worst;
}

static bool is_clean(const struct eh_agenda_run *run) {
    bool fine = false;
    for (size_t i = 0; i < run->finding_count; i++) {
        fine |= run->findings[i].fault == EH_FAULT_NO;
        if (run->findings[i].fault == EH_FAULT_YES) {
            return false;
        }
    }
    return fine && run->complete;
}

const struct eh_agenda_run *candidate_clean(const struct eh_agenda_input *input, size_t piece) {
    for (size_t i = 0; i < input->run_count; i++) {
        if (input->runs[i].piece == piece && is_clean(&input->runs[i])) {
            return &input->runs[i];
        }
    }
    return NULL;
}

/* The Nth latest run of PIECE, from 0; NULL: there are not so many. */
static const struct eh_agenda_run *latest(const struct eh_agenda_input *input, size_t piece,
                                          size_t n) {
    for (size_t i = 0; i < input->run_count; i++) {
        if (input->runs[i].piece == piece && n-- == 0) {
            return &input->runs[i];
        }
    }
    return NULL;
}

/* A part of a long one, another one each day. */
static struct span section(const struct eh_agenda_input *input, size_t piece, struct span span,
                           double bpm) {
    const int32_t bars = span.last - span.first + 1;
    const int32_t parts = bars / SECTION_BARS > 0 ? bars / SECTION_BARS : 1;
    const int32_t part = (int32_t)(input->today % parts);
    struct span own = {span.first + part * SECTION_BARS, span.last};
    own = span_cut(input, piece, own, bpm, section_s, SECTION_BARS);
    return span_sounds(input->pieces[piece].exercise, own) ? own : span;
}

static void fill(const struct eh_agenda_input *input, enum eh_agenda_kind kind, size_t piece,
                 struct span bars, double bpm, struct candidate *out) {
    out->item = (struct eh_agenda_item){.kind = (uint8_t)kind,
                                        .piece = piece,
                                        .first_bar = bars.first,
                                        .last_bar = bars.last,
                                        .bpm = fmax(bpm, EH_TEMPO_MIN),
                                        .no_click = latest(input, piece, 0)->no_click,
                                        .days = evidence_days(input, piece, bars),
                                        .found = {.value = NAN, .low = NAN, .high = NAN},
                                        .clean_bpm = NAN};
}

/* A fault that only one run showed, or a clean run that is the only one: too little to go by. */
static void again(const struct eh_agenda_input *input, size_t piece, struct candidate *out) {
    const struct eh_agenda_run *run = latest(input, piece, 0);
    const struct eh_finding *worst = worst_of(run);
    struct span bars = span_of_run(input, run);
    if (worst != NULL) {
        const struct question question = {.piece = piece,
                                          .aspect = worst->aspect,
                                          .side = worst->side,
                                          .verdict = worst->verdict,
                                          .direction = worst->direction};
        bars = evidence_bars(input, &question);
    }
    bars = span_cut(input, piece, bars, run->bpm, section_s, SECTION_BARS);
    fill(input, EH_AGENDA_AGAIN, piece, bars, run->bpm, out);
    out->score = once_score;
    if (worst != NULL) {
        out->item.found = *worst;
        out->item.found.bar_count = 0;
        out->item.found.text[0] = '\0';
        out->item.shown = 1;
        out->item.judged = 1;
        out->item.shown_low_bpm = run->bpm;
        out->item.shown_high_bpm = run->bpm;
    } else {
        out->item.clean_bpm = is_clean(run) ? run->bpm : NAN;
    }
}

/* Five in a hundred, two quarters a minute at least: a choice of ours. */
static double faster(double bpm, double goal) {
    return fmin(goal, fmax(bpm + 2.0, floor(bpm * 1.05)));
}

bool candidate_holds(const struct eh_agenda_input *input, size_t piece, struct candidate *out) {
    const struct eh_agenda_run *newest = latest(input, piece, 0);
    const struct eh_agenda_run *before = latest(input, piece, 1);
    const struct eh_agenda_run *clean = candidate_clean(input, piece);
    const struct eh_exercise *exercise = input->pieces[piece].exercise;
    if (newest == NULL) {
        return false;
    }
    const double goal = eh_exercise_tempo_goal(exercise);
    const double bpm = clean != NULL ? clean->bpm : floor(0.95 * newest->bpm);
    const int64_t days = evidence_days(input, piece, span_all(exercise));
    const bool twice = before != NULL && is_clean(newest) && is_clean(before);
    if (days >= RESTED_DAYS) {
        fill(input, EH_AGENDA_RESTED, piece, section(input, piece, span_all(exercise), bpm), bpm,
             out);
    } else if (twice && fmin(newest->bpm, before->bpm) < goal) {
        const double next = faster(fmin(newest->bpm, before->bpm), goal);
        fill(input, EH_AGENDA_FASTER, piece,
             section(input, piece, span_of_run(input, newest), next), next, out);
    } else if (!twice) {
        again(input, piece, out);
        return true;
    } else {
        return false;
    }
    out->item.clean_bpm = clean != NULL ? clean->bpm : NAN;
    out->score = held_score * candidate_spacing(days);
    return true;
}
