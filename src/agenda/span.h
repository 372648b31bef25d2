/* Bars: which, and how long they take. */
#ifndef EVENHAND_AGENDA_SPAN_H
#define EVENHAND_AGENDA_SPAN_H

#include <stdbool.h>

#include "evenhand/agenda.h"

/* Written bars, both in it. */
struct span {
    int32_t first, last;
};

/* The whole exercise; the bars of a run. */
struct span span_all(const struct eh_exercise *exercise);
struct span span_of_run(const struct eh_agenda_input *input, const struct eh_agenda_run *run);

bool span_covers(struct span outer, struct span inner);
bool span_overlaps(struct span a, struct span b);

/* Whether there is a stroke in it. */
bool span_sounds(const struct eh_exercise *exercise, struct span span);

/* One pass of it: the count-in, its bars, and the moment in which it is judged. */
double span_seconds(const struct eh_agenda_input *input, size_t piece, struct span span,
                    double bpm);

/* As much of its beginning as takes at most SECONDS and BARS; at least one bar. */
struct span span_cut(const struct eh_agenda_input *input, size_t piece, struct span span,
                     double bpm, double seconds, int32_t bars);

#endif
