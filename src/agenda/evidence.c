#include "evidence.h"

#include <math.h>

#include "evenhand/pool.h"
#include "together.h"

enum { LOOP_BARS = 4, TEMPI_MAX = 64 };

/* A run of two weeks ago counts for half: a choice of ours. */
static const double half_life_days = 14.0;

double evidence_weight(int64_t days) {
    return exp2(-(double)(days > 0 ? days : 0) / half_life_days);
}

const struct eh_finding *evidence_finding(const struct eh_agenda_run *run,
                                          const struct question *question) {
    for (size_t i = 0; i < run->finding_count; i++) {
        const struct eh_finding *f = &run->findings[i];
        if (f->aspect == question->aspect && f->side == question->side) {
            return f;
        }
    }
    return NULL;
}

static bool shows(const struct eh_finding *f, const struct question *question) {
    return f != NULL && f->fault == EH_FAULT_YES && f->verdict == question->verdict &&
           f->direction == question->direction;
}

static size_t count_shown(const struct eh_agenda_input *input, const struct question *question) {
    size_t count = 0;
    for (size_t i = 0; i < input->run_count; i++) {
        count += input->runs[i].piece == question->piece &&
                 shows(evidence_finding(&input->runs[i], question), question);
    }
    return count;
}

size_t evidence_fault(const struct eh_agenda_input *input, struct question *question) {
    size_t most = 0;
    struct question best = *question;
    for (size_t i = 0; i < input->run_count; i++) {
        const struct eh_agenda_run *run = &input->runs[i];
        const struct eh_finding *f =
            run->piece == question->piece ? evidence_finding(run, question) : NULL;
        if (f == NULL || f->fault != EH_FAULT_YES) {
            continue;
        }
        struct question own = *question;
        own.verdict = f->verdict;
        own.direction = f->direction;
        own.above = !(f->value < f->limit_low);
        const size_t count = count_shown(input, &own);
        if (count > most) {
            most = count;
            best = own;
        }
    }
    *question = best;
    return most;
}

const struct eh_finding *eh_agenda_answer(const struct eh_finding *found,
                                          const struct eh_finding *findings, size_t count) {
    const struct eh_finding *together = NULL;
    for (size_t i = 0; i < count; i++) {
        if (findings[i].aspect == found->aspect && findings[i].side == found->side) {
            return &findings[i];
        }
        if (findings[i].aspect == found->aspect && findings[i].side == EH_SIDE_BOTH) {
            together = &findings[i];
        }
    }
    return together;
}

const struct eh_finding *evidence_measured(const struct eh_agenda_run *run,
                                           const struct question *question) {
    const struct eh_finding asked = {.aspect = question->aspect, .side = question->side};
    return eh_agenda_answer(&asked, run->findings, run->finding_count);
}

/* Of a run whose own strokes are too few. */
static enum answer answer_together(const struct eh_agenda_input *input,
                                   const struct eh_agenda_run *run,
                                   const struct question *question) {
    switch (together_stands(input, run, question)) {
    case EH_STANDS_INSIDE:
        return ANSWER_CLEAR;
    case EH_STANDS_BELOW:
        return question->above ? ANSWER_NONE : ANSWER_SHOWN;
    case EH_STANDS_ABOVE:
        return question->above ? ANSWER_SHOWN : ANSWER_NONE;
    case EH_STANDS_FEW:
    case EH_STANDS_WIDE:
    case EH_STANDS_STRADDLES:
        break;
    }
    return ANSWER_NONE;
}

static enum answer answer_of(const struct eh_agenda_input *input, const struct eh_agenda_run *run,
                             const struct question *question) {
    const struct eh_finding *f = evidence_measured(run, question);
    if (shows(evidence_finding(run, question), question)) {
        return ANSWER_SHOWN;
    }
    if (f == NULL || f->fault == EH_FAULT_YES) {
        return ANSWER_NONE;
    }
    const double least = input->pieces[run->piece].least_n;
    return f->fault == EH_FAULT_NO                        ? ANSWER_CLEAR
           : eh_finding_stands(f, least) == EH_STANDS_FEW ? answer_together(input, run, question)
                                                          : ANSWER_NONE;
}

enum answer evidence_answer(const struct eh_agenda_input *input, const struct eh_agenda_run *run,
                            const struct question *question, struct span bars) {
    if (run->piece != question->piece) {
        return ANSWER_NONE;
    }
    const struct span own = span_of_run(input, run);
    const enum answer answer = answer_of(input, run, question);
    return answer == ANSWER_SHOWN && span_overlaps(own, bars) ? ANSWER_SHOWN
           : answer == ANSWER_CLEAR && span_covers(own, bars) ? ANSWER_CLEAR
                                                              : ANSWER_NONE;
}

/* How often BARS are named, newer runs more; and the first and last that are. */
static double named(const struct eh_agenda_input *input, const struct question *question,
                    struct span bars, struct span *out_named) {
    double sum = 0.0;
    *out_named = (struct span){INT32_MAX, 0};
    for (size_t i = 0; i < input->run_count; i++) {
        const struct eh_agenda_run *run = &input->runs[i];
        const struct eh_finding *f =
            run->piece == question->piece ? evidence_finding(run, question) : NULL;
        if (!shows(f, question)) {
            continue;
        }
        for (uint32_t b = 0; b < f->bar_count; b++) {
            const int32_t bar = f->bars[b];
            if (bar >= bars.first && bar <= bars.last) {
                sum += evidence_weight(input->today - run->day);
                out_named->first = bar < out_named->first ? bar : out_named->first;
                out_named->last = bar > out_named->last ? bar : out_named->last;
            }
        }
    }
    return sum;
}

/* The bars of the latest run that shows it. */
static struct span shown_in(const struct eh_agenda_input *input, const struct question *question) {
    for (size_t i = 0; i < input->run_count; i++) {
        if (input->runs[i].piece == question->piece &&
            shows(evidence_finding(&input->runs[i], question), question)) {
            return span_of_run(input, &input->runs[i]);
        }
    }
    return span_all(input->pieces[question->piece].exercise);
}

struct span evidence_bars(const struct eh_agenda_input *input, const struct question *question) {
    const struct span all = span_all(input->pieces[question->piece].exercise);
    double most = 0.0;
    struct span best = shown_in(input, question);
    best.last = best.last - best.first >= LOOP_BARS ? best.first + LOOP_BARS - 1 : best.last;
    for (int32_t first = all.first; first <= all.last; first++) {
        const struct span window = {first, first + LOOP_BARS - 1};
        struct span inside;
        const double own = named(input, question, window, &inside);
        if (own > most + 1e-9) { /* of equals the first */
            most = own;
            best = inside;
        }
    }
    if (best.first == best.last && best.last < all.last) {
        best.last++;
    } else if (best.first == best.last && best.first > all.first) {
        best.first--;
    }
    return best;
}

static void add_answer(struct eh_held_answer *answers, size_t *count, double bpm, double clean,
                       double unclean) {
    size_t i = 0;
    while (i < *count && answers[i].bpm != bpm) {
        i++;
    }
    if (i == TEMPI_MAX) {
        return; /* newer runs came first */
    }
    if (i == *count) {
        answers[(*count)++] = (struct eh_held_answer){.bpm = bpm};
    }
    answers[i].clean += clean;
    answers[i].unclean += unclean;
}

void evidence_held(const struct eh_agenda_input *input, const struct question *question,
                   struct span bars, struct eh_held *out_held) {
    struct eh_held_answer answers[TEMPI_MAX];
    size_t count = 0;
    double low = INFINITY;
    double high = 0.0;
    for (size_t i = 0; i < input->run_count; i++) {
        const struct eh_agenda_run *run = &input->runs[i];
        const enum answer answer = evidence_answer(input, run, question, bars);
        if (answer != ANSWER_NONE) {
            const double weight = evidence_weight(input->today - run->day);
            add_answer(answers, &count, run->bpm, answer == ANSWER_CLEAR ? weight : 0.0,
                       answer == ANSWER_SHOWN ? weight : 0.0);
            low = fmin(low, run->bpm);
            high = fmax(high, run->bpm);
        }
    }
    struct eh_held_prior prior;
    eh_held_usual_prior(&prior, low, high);
    eh_held_estimate(out_held, &prior, answers, count);
}

int64_t evidence_days(const struct eh_agenda_input *input, size_t piece, struct span bars) {
    int64_t least = EH_AGENDA_NONE;
    for (size_t i = 0; i < input->run_count; i++) {
        const struct eh_agenda_run *run = &input->runs[i];
        if (run->piece == piece && span_overlaps(span_of_run(input, run), bars)) {
            const int64_t days = run->day < input->today ? input->today - run->day : 0;
            least = least == EH_AGENDA_NONE || days < least ? days : least;
        }
    }
    return least;
}
