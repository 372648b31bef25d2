/* What to practise next: a plan for one sitting, made from what the history shows.
 *
 * The history is given as runs with the findings of their judgements. What failed in several of
 * them and does not hold yet comes back at a tempo just below the one where it fails; what was not
 * touched for days comes back too; the items take turns instead of following one another in blocks.
 * docs/today.md has the rules, their sources and what is a choice of ours.
 *
 * Minutes are an upper bound and nothing else: nobody is asked to fill them, and nothing here
 * counts or praises time. Pure; no allocation; any thread; the same input gives the same plan. */
#ifndef EVENHAND_AGENDA_H
#define EVENHAND_AGENDA_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/exercise.h"
#include "evenhand/judgement.h"
#include "evenhand/status.h"

enum {
    EH_AGENDA_MINUTES_MIN = 1,
    EH_AGENDA_MINUTES_MAX = 90,
    EH_AGENDA_WORK_MAX = 8,                       /* items that take turns */
    EH_AGENDA_ITEMS_MAX = EH_AGENDA_WORK_MAX + 2, /* with warm-up and run-through */
    EH_AGENDA_TURNS_MAX = 6,                      /* of each of them */
    EH_AGENDA_STEPS_MAX = EH_AGENDA_WORK_MAX * EH_AGENDA_TURNS_MAX + 2,
    EH_AGENDA_NONE = -1
};

/* Rests, seconds. Common practice, no source. */
#define EH_AGENDA_REST_PASS_S 3.0   /* between two passes of one item */
#define EH_AGENDA_REST_ITEM_S 10.0  /* before another item */
#define EH_AGENDA_REST_TURN_S 20.0  /* before the items begin anew */
#define EH_AGENDA_FEW_MINUTES 5.0   /* below this, half of these two */
#define EH_AGENDA_BREAK_S 300.0     /* after each EH_AGENDA_UNBROKEN_S: put the sticks down */
#define EH_AGENDA_UNBROKEN_S 1500.0 /* no longer without a break */

/* An exercise in a style. */
struct eh_agenda_piece {
    const struct eh_exercise *exercise;
    double least_n; /* of the style (struct eh_style) */
};

/* A run of the history. */
struct eh_agenda_run {
    size_t piece;                /* index into the pieces */
    int64_t day;                 /* days since 1970-01-01 where it was played */
    int32_t first_bar, last_bar; /* written, both played; 0 = the first, the last */
    double bpm;                  /* quarter notes a minute */
    bool no_click;
    bool complete;                     /* played to its end */
    double level_scale_sd;             /* of the pad that was judged with (struct eh_levels) */
    const struct eh_finding *findings; /* of its judgement */
    size_t finding_count;
};

/* What a warm-up leads to. */
enum eh_agenda_warm_up { EH_WARM_UP_HANDS, EH_WARM_UP_ROLL, EH_WARM_UP_BUZZ, EH_WARM_UP_COUNT };

struct eh_agenda_input {
    const struct eh_agenda_piece *pieces; /* of equals, the first goes first */
    size_t piece_count;
    const struct eh_agenda_run *runs; /* newest first */
    size_t run_count;
    int32_t warm_ups[EH_WARM_UP_COUNT]; /* pieces; EH_AGENDA_NONE: there is none */
    int64_t today;                      /* days since 1970-01-01 where it is played */
    double minutes;                     /* EH_AGENDA_MINUTES_MIN .. EH_AGENDA_MINUTES_MAX */
    int32_t count_in_bars;              /* before each pass; 0 = one */
};

enum eh_agenda_kind {
    EH_AGENDA_WARM_UP,
    EH_AGENDA_FAILS,      /* something in it fails */
    EH_AGENDA_RESTED,     /* not touched for days */
    EH_AGENDA_FASTER,     /* it held twice: a little faster, up to its goal */
    EH_AGENDA_AGAIN,      /* one run says too little */
    EH_AGENDA_RUN_THROUGH /* something that holds, once, at the end */
};

struct eh_agenda_item {
    size_t piece;
    int32_t first_bar, last_bar; /* written */
    double bpm;
    int32_t passes; /* of one turn */
    uint8_t kind;   /* enum eh_agenda_kind */
    bool no_click;
    double seconds; /* of one turn: count-ins and the rests between its passes included */
    int64_t days;   /* since these bars were played last; EH_AGENDA_NONE: never */

    /* FAILS; AGAIN where the run showed a fault (else SHOWN is 0). FOUND is put together from the
     * runs that showed it: aspect, side, verdict, direction, value, interval, limits, unit, n (no
     * bars, no text). */
    struct eh_finding found;
    uint32_t shown, judged; /* runs that showed it, of the latest judged ones as fast as that */
    double shown_low_bpm, shown_high_bpm; /* tempi of those that showed it */

    /* RESTED, FASTER, AGAIN, RUN_THROUGH: the latest run without a fault. */
    double clean_bpm; /* NAN: there is none */
};

/* A turn of an item. */
struct eh_agenda_step {
    size_t item;
    int32_t turn;  /* of this item, from 0 */
    double rest_s; /* before it */
};

struct eh_agenda {
    struct eh_agenda_item items[EH_AGENDA_ITEMS_MAX]; /* in the order of their first turns */
    size_t item_count;
    struct eh_agenda_step steps[EH_AGENDA_STEPS_MAX];
    size_t step_count;
    double seconds;                  /* of all, rests included; at most the minutes */
    double rest_item_s, rest_turn_s; /* before another item; before they begin anew */
};

/* Errors: EH_EMPTY (no run in the history), EH_OUT_OF_RANGE (minutes outside their range; a run of
 * no piece; not even one turn of the first item fits). */
EH_MUST_USE enum eh_status eh_agenda_make(struct eh_agenda *out_agenda,
                                          const struct eh_agenda_input *input,
                                          struct eh_error *error);

/* Which of a run's FINDINGS answers for the fault FOUND: that of its aspect and side; else that of
 * both hands together, where the run has too few strokes to tell the hands apart. NULL: none. */
const struct eh_finding *eh_agenda_answer(const struct eh_finding *found,
                                          const struct eh_finding *findings, size_t count);

#endif
