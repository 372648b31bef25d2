/* How an exercise is read: place by place what is counted, what the hands do, where a roll lies,
 * what level holds. Data only; src/report lays it out as text, a page may lay it out otherwise.
 *
 * How it is counted stands in docs/reading.md, each convention with where it comes from.
 *
 * Pure. A reading never changes once it has been made, and refers to nothing of its exercise; any
 * thread may read it. */
#ifndef EVENHAND_READING_H
#define EVENHAND_READING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/exercise.h"
#include "evenhand/status.h"
#include "evenhand/written.h"

enum {
    EH_COUNT_TEXT = 8,       /* bytes of a syllable with its NUL */
    EH_READING_NO_ROLL = -1, /* a place outside every roll */
};

/* What begins at a place. */
enum eh_place_kind {
    EH_PLACE_STROKE, /* a written note */
    EH_PLACE_REST,
    EH_PLACE_HOLD, /* a tie: the note before goes on; a held roll rolls on */
    EH_PLACE_BEAT  /* nothing is written here, but a beat falls on it and is counted */
};

/* A place of a bar at which something is written or a beat is counted. */
struct eh_reading_place {
    eh_ticks at;                /* from the bar line */
    char count[EH_COUNT_TEXT];  /* in beats: "1", "e", "&", "a", "la", "li", "ta", "." */
    char eighth[EH_COUNT_TEXT]; /* a metre of dotted beats: the same place counted in its unit, as
                                   in 1 to 6 of 6/8; else "" */
    uint8_t beat;               /* from 0 within the bar */
    uint8_t kind;               /* enum eh_place_kind */
    uint8_t hand;               /* enum eh_hand, where there are strokes */
    uint8_t accent;             /* 0, 1, 2 as in struct eh_stroke */
    uint8_t grace_count;        /* grace notes that lead in */
    uint8_t grace_hands;        /* bit k: enum eh_hand of grace note k, in playing order */
    bool buzz;                  /* its stroke is a press */
    uint32_t strokes;           /* main strokes from here up to the next place */
    int32_t roll;               /* index into the rolls, or EH_READING_NO_ROLL */
};

/* A bar as it is written, whatever repeats it. */
struct eh_reading_bar {
    size_t first, count; /* its places */
    eh_ticks length;
    eh_ticks beat;       /* length of what is counted as a beat */
    eh_ticks offset;     /* where in its metre the bar begins; not 0 for a pick-up */
    int32_t number;      /* from 1 */
    uint8_t beats, unit; /* metre */
    bool dotted;         /* counted in dotted beats: 6/8, 9/8, 12/8 ... */
    bool new_metre;      /* another metre than the bar before; the first bar too */
    bool is_short;       /* does not fill its metre */
    bool repeat_from;    /* a repeat begins before it */
    uint8_t times;       /* a repeat ends after it: how often it is played in all; 0 = none */
    uint16_t endings;    /* bit k: ending k + 1 begins with it */
};

/* A row of rolled notes or presses without a gap, two or more of them, or one note of three strokes
 * or more; a repeat or ending sign ends it, since what is played there is not one thing. Places are
 * numbered through all bars. */
struct eh_reading_roll {
    size_t first, last;  /* its places, the closing stroke's included */
    uint32_t strokes;    /* main strokes, the closing one too; a buzz roll: presses */
    uint32_t motions;    /* strokes of the hand motion: written notes; holds go on with theirs */
    uint32_t each;       /* strokes to each note of the motion; 0 where they differ */
    uint8_t value;       /* written value of the motion, as in struct eh_written_item ... */
    uint8_t dots, group; /* ... and ACTUAL of the group around it, 0 for none */
    bool even;           /* value, dots and group are the same throughout */
    bool buzz;           /* presses */
    bool closed;         /* ends on a single stroke, which is the last place */
};

/* Where the level is marked or changes its way. */
struct eh_reading_level {
    int32_t bar;     /* index into the bars, from 0 */
    eh_ticks at;     /* from the bar line */
    uint8_t dynamic; /* enum eh_dynamic reached or marked here */
    int8_t swell;    /* a hairpin begins here: 1 grows, -1 fades; else 0 */
};

struct eh_reading { /* arrays owned; give them back with eh_reading_deinit */
    struct eh_reading_bar *bars;
    size_t bar_count;
    struct eh_reading_place *places;
    size_t place_count;
    struct eh_reading_roll *rolls;
    size_t roll_count;
    struct eh_reading_level *levels; /* the first one at the beginning */
    size_t level_count;
};

/* Reads the whole EXERCISE. Errors: EH_NO_MEMORY; OUT is empty then. */
EH_MUST_USE enum eh_status eh_reading_make(struct eh_reading *out,
                                           const struct eh_exercise *exercise);

/* Frees what it owns and empties it; an all-zero reading is accepted. */
void eh_reading_deinit(struct eh_reading *reading);

/* A height of the stick for a level, in tenths of an inch: 30, 45, 60, 90, 120 for p, mp, mf, f, ff
 * (common practice, no source; docs/measures.md). 0 where none is commonly named: ppp, pp, fff. */
int eh_stick_height(enum eh_dynamic dynamic);

#endif
