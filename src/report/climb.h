/* Words that the lines of a climb and its plot have in common. */
#ifndef EVENHAND_REPORT_CLIMB_WORDS_H
#define EVENHAND_REPORT_CLIMB_WORDS_H

#include "evenhand/report_climb.h"
#include "number.h"
#include "paper.h"

/* "92", "92.5". */
struct report_number climb_tempo(double bpm);

/* "left seconds late: 0.62 of the span (fine: 0.45 to 0.55; n=24)". */
void climb_add_fault(struct eh_text *out, const struct eh_ladder_fault *fault);

/* The share of clean passes against the tempo, a row a tempo; nothing where none was decided. */
void climb_plot(const struct report_paper *paper, const struct eh_ladder *ladder,
                enum eh_ladder_stage stage);

#endif
