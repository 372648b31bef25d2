/* What is written: an exercise laid on a click, read through the program's public headers. It is
 * all that the simulator and the judge have in common. */
#ifndef MEASURE_WRITTEN_H
#define MEASURE_WRITTEN_H

#include "evenhand/exercise.h"
#include "evenhand/plan.h"

struct written {
    char name[64];
    char style[32]; /* the style that it is written for */
    struct eh_exercise *exercise;
    struct eh_tempo_map click; /* tick 0 at 0 ns; two bars of count-in */
    struct eh_plan plan;
    int32_t last_bar; /* as asked of the plan; 0 = all of it */
    eh_ticks start;   /* where the first bar line lies on the click */
    double bpm;
    double ms_per_tick;
    /* For each due stroke a number that it shares with the strokes at the same place of bars that
     * are written alike: in every mark, and in every mark but the hands. */
    uint32_t *same, *heard;
    double nearest_ms; /* least distance of two successive main strokes */
};

/* BARS: only the first so many written bars; 0 = all. False with a message on
 * standard error when the text is wrong; nothing has to be closed then. */
bool written_open(struct written *out, const char *name, const char *text, double bpm, int bars);
void written_close(struct written *w);

static inline const struct eh_stroke *written_stroke(const struct written *w, size_t due) {
    return eh_plan_stroke(&w->plan, due);
}

/* When a tick of the plan (0 = the first bar line) sounds, ms. */
double written_ms(const struct written *w, eh_ticks at);

/* The next main stroke after DUE; due_count where none follows. */
size_t written_next_main(const struct written *w, size_t due);

#endif
