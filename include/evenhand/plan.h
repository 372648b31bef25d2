/* The plan of a run: every stroke that is due, with the clock time at which it is due.
 *
 * A plan is an exercise (or some of its bars), played once or several times, laid on a click. It
 * is made before the run, never changes and may be read by any thread. */
#ifndef EVENHAND_PLAN_H
#define EVENHAND_PLAN_H

#include <stddef.h>
#include <stdint.h>

#include "evenhand/exercise.h"
#include "evenhand/status.h"
#include "evenhand/time.h"

/* What the player asked for. All-zero means: the whole exercise, once. */
struct eh_plan_request {
    int32_t first_bar; /* written bars from .. to, inclusive; 0 = from the first */
    int32_t last_bar;  /* 0 = to the last */
    int32_t passes;    /* how often in a row; 0 counts as 1 */
    eh_ticks gap;      /* rest between two passes (a new count-in); >= 0 */
};

struct eh_due {
    eh_ticks at;        /* on the run's ticks: 0 is the plan's first bar line */
    int64_t at_ns;      /* when the click says it is due; a grace note: its main stroke's time
                           less the usual lead */
    int64_t spacing_ns; /* distance to the nearer of the main strokes before and after it */
    uint32_t stroke;    /* index into the exercise's strokes */
    uint32_t bar;       /* index into the plan's bars */
    uint32_t main;      /* grace: index of its main stroke's due; else its own index */
};

struct eh_plan_bar {
    eh_ticks at, end; /* on the run's ticks */
    int64_t at_ns, end_ns;
    uint32_t first_due; /* first due stroke in it (due_count where none follows) */
    uint32_t due_count; /* how many stand in it */
    int32_t written;    /* number of the written bar */
    int32_t pass;       /* from 0 */
    uint8_t beats, unit;
};

struct eh_plan {
    const struct eh_exercise *exercise; /* not owned; must outlive the plan */
    struct eh_due *due;                 /* owned; in playing order */
    size_t due_count;
    uint32_t *mains; /* owned; the dues that are no grace notes, in playing order */
    size_t main_count;
    struct eh_plan_bar *bars; /* owned; in playing order */
    size_t bar_count;
    int32_t passes;
    eh_ticks length;          /* from 0 to the last bar line */
    int64_t start_ns, end_ns; /* first and last bar line */
};

/* The usual lead of a grace note before its main stroke: 25 ms for a flam, 45 ms a note for a drag
 * or ruff, less where the stroke before is near. Professionals' flams: median 24-25 ms, middle
 * half 17-33 ms; between neighbours of a drag 33-68 ms in eight of ten, with wide drags counted in
 * (measured on the Groove MIDI Dataset 1.0.0, CC BY 4.0). */
int64_t eh_grace_lead_ns(int grace_count, int grace_rank, int64_t spacing_before_ns);

/* Lays REQUEST on CLICK, tick START of which is the first bar line. The plan keeps no reference to
 * the map. Errors: EH_NO_MEMORY, EH_OUT_OF_RANGE (no such bars), EH_EMPTY (no strokes in them). */
EH_MUST_USE enum eh_status eh_plan_init(struct eh_plan *out_plan,
                                        const struct eh_exercise *exercise,
                                        const struct eh_plan_request *request,
                                        const struct eh_tempo_map *click, eh_ticks start,
                                        struct eh_error *error);

/* Frees what the plan owns; an all-zero plan is accepted. */
void eh_plan_deinit(struct eh_plan *plan);

static inline const struct eh_stroke *eh_plan_stroke(const struct eh_plan *plan, size_t due) {
    return eh_exercise_strokes(plan->exercise, NULL) + plan->due[due].stroke;
}

#endif
