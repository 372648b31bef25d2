/* An exercise as it stands on the paper: bars and what is in them, in the order of writing, nothing
 * unfolded. For whoever writes an exercise in another notation; what is played is in exercise.h.
 *
 * Views by value; any thread. */
#ifndef EVENHAND_WRITTEN_H
#define EVENHAND_WRITTEN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/exercise.h"

enum eh_written_kind {
    EH_WRITTEN_NOTE,
    EH_WRITTEN_REST,
    EH_WRITTEN_HOLD,      /* prolongs the note before it (a tie); a held roll rolls on */
    EH_WRITTEN_GROUP,     /* a tuplet begins: ACTUAL in the time of NORMAL */
    EH_WRITTEN_GROUP_END, /* of the group that was opened last */
    EH_WRITTEN_MARK
};

/* A mark is an enum eh_dynamic or one of these. */
enum eh_written_mark {
    EH_MARK_CRESC = EH_DYNAMIC_COUNT, /* a hairpin begins */
    EH_MARK_DIM,
    EH_MARK_END /* it ends one step on, no dynamic standing there */
};

enum {
    EH_WRITTEN_VALUE_LAST = 7, /* 0 = whole, 1 = half ... 7 = 128th */
    EH_WRITTEN_DOTS_MAX = 2,
    EH_WRITTEN_SLASHES_MAX = 5,
    EH_WRITTEN_DEPTH_MAX = 4, /* groups in groups */
    EH_WRITTEN_ENDINGS_MAX = 9,
    EH_WRITTEN_TIMES_MAX = 99,
    EH_WRITTEN_ACTUAL_MAX = 15, /* a group: 2 to 15 in the time of 1 to 16 */
    EH_WRITTEN_NORMAL_MAX = 16,
    EH_WRITTEN_BEATS_MAX = 64,
    EH_WRITTEN_UNIT_MAX = 64
};

struct eh_written_note {
    uint8_t hand;        /* enum eh_hand */
    uint8_t accent;      /* 0 none, 1 accent, 2 strong accent */
    uint8_t slashes;     /* measured tremolo: marks on the stem, beams not counted */
    uint8_t grace_count; /* up to EH_EXERCISE_GRACES_MAX */
    uint8_t grace_hands; /* bit k: enum eh_hand of grace note k, in playing order */
    bool buzz;           /* one press that sustains; no slashes then */
};

struct eh_written_item {
    uint8_t kind;                /* enum eh_written_kind */
    uint8_t value, dots;         /* note, rest, hold */
    uint8_t actual, normal;      /* group */
    uint8_t mark;                /* mark */
    struct eh_written_note note; /* note */
    eh_ticks at;                 /* from the bar line */
    eh_ticks length;             /* note, rest, hold: scaled by the groups around; else 0 */
    eh_ticks spacing;            /* note: of its strokes (LENGTH without slashes); else 0 */
};

struct eh_written_bar {
    size_t first, count; /* its items */
    eh_ticks length;
    uint8_t beats, unit; /* its metre */
    bool is_short;       /* a pick-up, or another bar that is meant not to fill its metre */
    bool repeat_from;    /* a repeat begins before it */
    uint8_t times;       /* a repeat ends after it: how often it is played in all; 0 = none */
    uint16_t endings;    /* bit k: ending k + 1 begins with it */
};

/* BAR is below eh_exercise_bar_count. */
struct eh_written_bar eh_exercise_written_bar(const struct eh_exercise *exercise, int bar);

/* INDEX lies within a bar's items. */
struct eh_written_item eh_exercise_written_item(const struct eh_exercise *exercise, size_t index);

/* The length of a plain note value with its dots, before any group scales it; 0 where ticks cannot
 * express it or the limits above are exceeded. */
eh_ticks eh_written_length(int value, int dots);

/* How far apart the strokes of a note of VALUE stand that bears SLASHES, as a part of a whole note:
 * 2 = quarters ... 5 = 32nds. Marks count on from the flags or beams of the value. */
int eh_written_stroke_value(int value, int slashes);

#endif
