/* The exercise from within: what was written, and what it unfolds to. Only this room sees it. */
#ifndef SCORE_MODEL_H
#define SCORE_MODEL_H

#include "evenhand/exercise.h"

#define SCORE_WHOLE (4 * EH_TICKS_PER_QUARTER)

enum {
    SCORE_VALUE_LAST = 7, /* 0 = whole, 1 = half ... 7 = 128th: the shortest that ticks can halve */
    SCORE_DOTS_MAX = 2,
    SCORE_SLASHES_MAX = 5,
    SCORE_DEPTH_MAX = 4, /* groups within groups */
    SCORE_ENDINGS_MAX = 9,
    SCORE_TIMES_MAX = 99,
    SCORE_BEATS_MAX = 64,
    SCORE_UNIT_MAX = 64
};

/* Where something stands in the text that was read; both 0 where there is no text. */
struct score_place {
    int line;
    int column;
};

enum score_item_kind {
    SCORE_NOTE,
    SCORE_REST,
    SCORE_HOLD,  /* prolongs the note before it (a tie) */
    SCORE_GROUP, /* a tuplet begins: ACTUAL in the time of NORMAL */
    SCORE_GROUP_END,
    SCORE_MARK
};

/* A dynamic (its enum eh_dynamic) or one of these. */
enum { SCORE_CRESC = EH_DYNAMIC_COUNT, SCORE_DIM, SCORE_END };

struct score_note {
    uint8_t hand;    /* enum eh_hand */
    uint8_t accent;  /* 0, 1, 2 as in struct eh_stroke */
    uint8_t slashes; /* measured tremolo: marks on the stem, beams not counted */
    uint8_t grace_count;
    uint8_t grace_hands; /* bit k: the hand of grace note k, in playing order */
    bool buzz;
};

struct score_item {
    uint8_t kind;  /* enum score_item_kind */
    uint8_t value; /* note, rest, hold: 0 = whole ... */
    uint8_t dots;
    uint8_t actual, normal; /* group */
    uint8_t mark;
    struct score_note note;
    eh_ticks at;     /* from the bar line */
    eh_ticks length; /* 0 for group ends and marks; a group: 0 */
    struct score_place place;
};

struct score_bar {
    size_t first, count; /* its items */
    eh_ticks at;         /* in the row of written bars, nothing repeated */
    eh_ticks length;
    uint8_t beats, unit;
    bool is_short;    /* a pick-up, or another bar that is meant not to fill its metre */
    bool repeat_from; /* |: before it */
    uint8_t times;    /* :| after it: how often it is played in all; 0 = no sign */
    uint16_t endings; /* bit k: ending k + 1 begins with it */
    struct score_place place;
    struct score_place end;
};

struct eh_exercise {
    char *title, *style, *about; /* owned; NULL while empty */
    int32_t tempo_start_milli, tempo_goal_milli;
    struct score_item *items;
    size_t item_count, item_capacity;
    struct score_bar *bars;
    size_t bar_count, bar_capacity;
    struct eh_bar *played;
    size_t played_count, played_capacity;
    struct eh_stroke *strokes;
    size_t stroke_count, stroke_capacity;
    struct eh_hairpin *hairpins;
    size_t hairpin_count, hairpin_capacity;
    eh_ticks length;
};

/* Room for NEEDED rows of SIZE bytes: the old rows or their larger copy, with CAPACITY brought up
 * to date; NULL when memory is short (the old rows then stay as they are). */
void *score_grow(void *rows, size_t *capacity, size_t needed, size_t size);

static inline eh_ticks score_metre_length(int beats, int unit) {
    return SCORE_WHOLE / unit * beats;
}

#endif
