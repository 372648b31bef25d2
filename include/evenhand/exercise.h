/* An exercise: what is to be played, stroke by stroke.
 *
 * The written form (bars, repeats, tuplets, marks) is kept so that it can be printed again; what
 * the rest of the program works with is the unfolded row of strokes in playing order. An exercise
 * never changes once it has been made; any thread may read it. */
#ifndef EVENHAND_EXERCISE_H
#define EVENHAND_EXERCISE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/status.h"
#include "evenhand/time.h"

enum eh_hand { EH_HAND_LEFT = 0, EH_HAND_RIGHT = 1 };

/* What a stroke is in its figure. A double (a diddle) is exactly two successive strokes of one
 * hand, made in one motion: as near as a 16th, or as near as any two main strokes of the exercise
 * where that is more, an eighth at most; and no further apart than the second is from the stroke
 * after it. Grace notes are passed over when successive strokes are counted, but a drag before the
 * second stroke parts the two: the other hand strikes twice between them. Two taps of one hand at
 * walking speed are single strokes (common practice, no source; docs/measures.md, Doubles). */
enum eh_kind {
    EH_KIND_SINGLE,
    EH_KIND_FIRST,  /* first stroke of a double */
    EH_KIND_SECOND, /* second stroke of a double */
    EH_KIND_GRACE,  /* grace note; stands before its main stroke */
    EH_KIND_BUZZ    /* one press, an unknown number of bounces */
};

/* Written dynamics; the number is the dynamic step. */
enum eh_dynamic {
    EH_DYNAMIC_PPP = 0,
    EH_DYNAMIC_PP,
    EH_DYNAMIC_P,
    EH_DYNAMIC_MP,
    EH_DYNAMIC_MF,
    EH_DYNAMIC_F,
    EH_DYNAMIC_FF,
    EH_DYNAMIC_FFF,
    EH_DYNAMIC_COUNT
};

struct eh_stroke {
    eh_ticks at;         /* from the exercise's beginning, repeats unfolded; a grace note bears
                            its main stroke's position */
    eh_ticks in_bar;     /* from its bar line */
    eh_ticks length;     /* written length (grace: 0); a buzz sustains for this long */
    int32_t bar;         /* written bar, from 1 */
    int32_t played_bar;  /* index into the played bars, from 0 */
    int32_t hairpin;     /* index into the hairpins, -1 outside */
    int16_t step_milli;  /* written level in thousandths of a dynamic step (mf = 4000), hairpins
                            interpolated by position */
    uint8_t hand;        /* enum eh_hand */
    uint8_t kind;        /* enum eh_kind */
    uint8_t accent;      /* 0 none, 1 accent, 2 strong accent */
    uint8_t dynamic;     /* enum eh_dynamic in force (inside a hairpin: where it began) */
    uint8_t grace_count; /* main stroke: how many grace notes lead into it, directly before */
    uint8_t grace_rank;  /* grace: distance to its main stroke, 1 = directly before; else 0 */
    bool roll;           /* stands in an open roll (a double made by measured tremolo) */
};

struct eh_bar {
    eh_ticks at;     /* from the beginning, repeats unfolded */
    eh_ticks length; /* of the whole bar by its metre (a pick-up bar: its real length) */
    int32_t written; /* number of the written bar, from 1 */
    uint8_t beats;   /* metre, e.g. 6 ... */
    uint8_t unit;    /* ... over 8 */
};

struct eh_hairpin {
    eh_ticks from, to;    /* from the beginning, repeats unfolded */
    uint8_t from_dynamic; /* enum eh_dynamic */
    uint8_t to_dynamic;   /* enum eh_dynamic; the mark at its end, else one step on */
};

struct eh_exercise; /* opaque; made by the readers in exercise_text.h */

/* NULL is accepted. */
void eh_exercise_free(struct eh_exercise *exercise);

/* Strings live as long as the exercise and are never NULL ("" where nothing was written). */
const char *eh_exercise_title(const struct eh_exercise *exercise);
const char *eh_exercise_style(const struct eh_exercise *exercise);
const char *eh_exercise_about(const struct eh_exercise *exercise); /* what it trains */

/* Quarter notes a minute: where to start and what to aim at. Always set (default 80, 120). */
double eh_exercise_tempo_start(const struct eh_exercise *exercise);
double eh_exercise_tempo_goal(const struct eh_exercise *exercise);

/* Written bars, the one that holds only the last stroke too. */
int eh_exercise_bar_count(const struct eh_exercise *exercise);

/* Views; owned by the exercise. */
const struct eh_stroke *eh_exercise_strokes(const struct eh_exercise *exercise, size_t *out_count);
const struct eh_bar *eh_exercise_bars(const struct eh_exercise *exercise, size_t *out_count);
const struct eh_hairpin *eh_exercise_hairpins(const struct eh_exercise *exercise,
                                              size_t *out_count);

/* From the beginning to the last bar line. */
eh_ticks eh_exercise_length(const struct eh_exercise *exercise);

/* Whether the two are written alike: words, tempi, bars, notes and marks, and so their strokes. */
bool eh_exercise_equal(const struct eh_exercise *a, const struct eh_exercise *b);

/* Constant words: "left", "right"; "L", "R"; "single" ...; "ppp" .... */
const char *eh_hand_text(enum eh_hand hand);
const char *eh_hand_letter(enum eh_hand hand);
const char *eh_kind_text(enum eh_kind kind);
const char *eh_dynamic_text(enum eh_dynamic dynamic);

#endif
