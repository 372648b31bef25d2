/* What the runs of a piece say about one question: an aspect of a side. */
#ifndef EVENHAND_AGENDA_EVIDENCE_H
#define EVENHAND_AGENDA_EVIDENCE_H

#include "evenhand/held.h"
#include "span.h"

struct question {
    size_t piece;
    uint8_t aspect, side;
    uint8_t verdict, direction; /* the fault that is asked about */
    bool above;                 /* it lies above its limits, not below */
};

enum answer { ANSWER_NONE, ANSWER_CLEAR, ANSWER_SHOWN };

/* Which fault of PIECE's aspect and side most runs show; of equals the latest. Returns how many
 * runs show it. */
size_t evidence_fault(const struct eh_agenda_input *input, struct question *question);

/* The run's finding on the question; NULL: none. */
const struct eh_finding *evidence_finding(const struct eh_agenda_run *run,
                                          const struct question *question);

/* The same, or that of both hands where the run has too few strokes to tell them apart. */
const struct eh_finding *evidence_measured(const struct eh_agenda_run *run,
                                           const struct question *question);

/* What RUN says; where it has too few strokes to say anything, what the passes of its turn say
 * together. A run without a fault only counts if it covers BARS. */
enum answer evidence_answer(const struct eh_agenda_input *input, const struct eh_agenda_run *run,
                            const struct question *question, struct span bars);

/* Where it shows most: at most four bars, at least two where the exercise has them. */
struct span evidence_bars(const struct eh_agenda_input *input, const struct question *question);

/* The tempo at which three runs of four are clear of it; older runs count for less. */
void evidence_held(const struct eh_agenda_input *input, const struct question *question,
                   struct span bars, struct eh_held *out_held);

/* How much a run of so many days ago counts. */
double evidence_weight(int64_t days);

/* Days since these bars of PIECE were played last; EH_AGENDA_NONE: never. */
int64_t evidence_days(const struct eh_agenda_input *input, size_t piece, struct span bars);

#endif
