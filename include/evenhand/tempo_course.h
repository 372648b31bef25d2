/* How the tempo of a run without a click went: where it began, where it ended, and the bars in
 * which it was pushed or dragged.
 *
 * Bar by bar on the player's own smooth tempo (free_tempo.h), halts left out. A leg is a stretch
 * between two turning points: tempi that rise, or fall, by more than the bars' own error could make
 * them. Through its bars the ramp is laid that suits them best by least squares: one level, an even
 * way to another, that level on. A leg is told when its change surely passes the style's limit of
 * tempo. A change at once looks like one over two bars, which the smooth tempo makes of it: ramps
 * of up to two bars are steps. Two steps in a row, the second back to where the first began (within
 * the limit), are a spell.
 *
 * The error of a bar's tempo is what the strokes' own scatter may do to its length. How far the
 * quickest and the slowest bar lie apart by chance is 3.5 of these (17 normal values: Tippett 1925,
 * Biometrika 17, 364-387).
 *
 * Pure; any thread. */
#ifndef EVENHAND_TEMPO_COURSE_H
#define EVENHAND_TEMPO_COURSE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/judgement.h"

enum { EH_TEMPO_LEGS_MAX = 6 };

enum eh_tempo_leg_kind {
    EH_TEMPO_RAMP, /* it changed all through these bars, and stayed where it came to */
    EH_TEMPO_STEP, /* it changed at once where the bar begins, and stayed there */
    EH_TEMPO_SPELL /* these bars were at another tempo: up or down at once, and back again */
};

struct eh_tempo_leg {
    uint8_t kind;                /* enum eh_tempo_leg_kind */
    int32_t first_bar, last_bar; /* written */
    double from_bpm, to_bpm;     /* the two levels, quarters a minute */
    double percent;              /* faster positive */
    double low, high;            /* what chance leaves of it: 3.5 errors of a bar either way */
    uint32_t n;                  /* strokes heard in these bars */
    bool all;                    /* three quarters of the run or more */
};

struct eh_tempo_course {
    bool known;               /* a run without a click, with two bars at least; else all zero */
    double begin_bpm;         /* of the first two bars */
    double end_bpm;           /* and of the last two */
    double slowest, quickest; /* bar of the run */
    double error_percent;     /* of one bar's tempo: a standard error */
    double change_percent;    /* the last two bars against the first two, faster positive */
    double change_low, change_high; /* its 90 % interval: two bars know it to the root of a half of
                                       one bar's error, their difference to one */
    struct eh_tempo_leg legs[EH_TEMPO_LEGS_MAX]; /* in the order of the run, longest kept */
    size_t leg_count;
};

/* Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_tempo_course_find(struct eh_tempo_course *out,
                                                const struct eh_judgement *judgement);

#endif
