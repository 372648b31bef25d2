/* The tempo that a player had in mind, where there was no click.
 *
 * From an exercise and the hits alone: when each tick of the music was, in the player's own time.
 * The music is then laid on that map as if it were the click's, and judged like any other run.
 *
 * How: a search for the row of strokes and the tempo together (a tempo that walks a little from
 * stroke to stroke, observed through strokes that scatter: the model of Raphael 2002, "A hybrid
 * graphical model for rhythmic parsing", Artificial Intelligence 137, 217-238, and of Cemgil &
 * Kappen 2003, JAIR 18, 45-81, with the score known), then, in turns, the follower and a smooth
 * curve through its strokes. docs/no-click.md explains it and says what the curve takes from the
 * strokes. Pure; any thread. */
#ifndef EVENHAND_FREE_TEMPO_H
#define EVENHAND_FREE_TEMPO_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/plan.h"
#include "evenhand/status.h"
#include "evenhand/time.h"

/* Quarter notes a minute that are looked for. */
#define EH_FREE_TEMPO_MIN 30.0
#define EH_FREE_TEMPO_MAX 300.0

enum { EH_FREE_HALTS = 16, EH_COUNT_OFF_MAX = 32 };

struct eh_free_request {
    struct eh_plan_request plan;
    int32_t count_off; /* this many even taps on the pad come first, the exercise one tap's distance
                          after the last; 0 = none, or not known; else 2 .. EH_COUNT_OFF_MAX */
    bool broken_off;   /* a run that is known to be this exercise's and was broken off: it need not
                          hold a third of the strokes */
};

/* A place where the player waited and went on in his own time: more than the music has. */
struct eh_free_halt {
    uint32_t due;      /* the first stroke after it */
    eh_ticks at;       /* its place on the map */
    int64_t excess_ns; /* how much longer than the music it took */
};

struct eh_free_tempo {
    struct eh_tempo_map map; /* owned; tick 0 is the plan's first bar line */
    double bpm;              /* quarters a minute over the whole run, halts left out */
    double count_off_bpm;    /* of the taps; NAN where none were said */
    double wander_percent; /* how far the tempo, half a bar at a time, leaves its own straight line
                              over the run, either way; NAN unknown */
    double rise_percent;   /* the largest quickening, and the largest slackening, between any two */
    double fall_percent;   /* places, half a bar at a time; NAN unknown */
    double change_percent; /* last half bar against the first, faster positive; NAN unknown */
    struct eh_free_halt halts[EH_FREE_HALTS];
    size_t halt_count;
    double strokes_share; /* of the main strokes of the bars that were played, those that were found
                             in rhythm */
    double hits_share;    /* of the hits from the start to the end, grace notes, bounces and echoes
                             not counted, those that are strokes in rhythm */
};

/* Finds the tempo of TAKE, which holds the pad's hits only and whose own click is not looked at.
 * Errors: EH_NO_MEMORY, EH_EMPTY (no hits), EH_OUT_OF_RANGE (no such bars; a count-off of another
 * size, or one that is not even), EH_NO_FIT (this exercise is not what was played). After an error
 * OUT is all zero. */
EH_MUST_USE enum eh_status eh_free_tempo_find(struct eh_free_tempo *out,
                                              const struct eh_exercise *exercise,
                                              const struct eh_take *take, const struct eh_pad *pad,
                                              const struct eh_free_request *request,
                                              struct eh_error *error);

/* Frees what it owns; an all-zero one is accepted. */
void eh_free_tempo_deinit(struct eh_free_tempo *tempo);

#endif
