/* The measures' inside: what every measure works on. See docs/measures.md.
 *
 * eh_measure lays the run out once (one row a due stroke, trends of time and level), then each
 * aspect reads it, makes its estimate and hands it to the verdict. */
#ifndef EVENHAND_JUDGE_MEASURE_H
#define EVENHAND_JUDGE_MEASURE_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/judgement.h"
#include "evenhand/stats.h"

#define MEASURE_CONFIDENCE 0.90

/* The bound of the scatter of doubles (eh_scale), in scales. */
#define MEASURE_BOUND 2.0

/* What a listener can notice at all: a shift in an even row of 6 ms or 2.5 % of the spacing,
 * whichever is more (Friberg & Sundberg 1995, JASA 98, 2524-2531), and about 1 dB between two
 * strokes (Jesteadt, Wier & Green 1977, JASA 61, 169-177). No limit is drawn closer. */
#define LIMEN_DB 1.0

static inline double limen_ms(double spacing_ms) {
    return fmax(6.0, 0.025 * spacing_ms);
}

/* A stroke that is missing may have been so near to a louder one, or so soft, that the pad did not
 * report it. */
enum measure_hidden { HIDDEN_NOT, HIDDEN_MASK, HIDDEN_FLOOR };

/* A due stroke and what became of it. Times in ms of the take's clock from the plan's start. */
struct measure_stroke {
    double at_ms;    /* when it was due, its player's place in the score allowed for */
    double off_ms;   /* how late it came; NAN when missed */
    double level;    /* dB on the pad's map; NAN when missed */
    double gap_ms;   /* nominal distance to the nearer main stroke */
    uint32_t stroke; /* index into the exercise's strokes */
    int32_t bar;     /* written bar */
    int32_t stretch; /* number of the unbroken stretch of playing */
    int32_t passage; /* number of the unbroken stretch of one written level */
    uint8_t hand, kind, accent, dynamic;
    uint8_t graces;
    uint8_t hidden; /* enum measure_hidden: why the pad may not have reported a missed stroke */
    double lost_ms; /* missed, but here is a hit that belongs to nothing else: how late that came;
                       NAN without */
    bool matched, saturated;
    bool main;     /* no grace note */
    bool tap;      /* unmarked, and of the kind that levels are compared on */
    bool beat;     /* single, first or buzz: its time is the hand motion's */
    bool doubtful; /* a press whose first note may not be the hit that it was given */
};

/* What the plan asks for, whatever was played: decides which findings are present. */
struct measure_census {
    uint32_t mains, bare_doubles[2], accents[2], taps[2], plain[2], flams[2], presses[2], beats[2];
    uint32_t marks; /* bit set of the written dynamics */
    bool strong_accents;
};

struct measures {
    const struct eh_measure_input *in;
    struct eh_judgement *out;
    const struct eh_style *style;
    const struct eh_stroke *strokes; /* the exercise's */
    struct measure_census census;

    size_t count;
    struct measure_stroke *row;
    double *time_rest;  /* off_ms less the local trend, the hands' difference taken out; NAN for
                           strokes whose time is not the hand motion's */
    double *level_rest; /* level less the level of the taps around, the hands' difference taken
                           out; NAN where missed or without taps around */
    struct eh_estimate hand_time, hand_level; /* left less right */
    double tap_spread;                        /* of level_rest over taps */
    double step_ms;  /* what the clock's resolution adds to the error of a time */
    double clock_ms; /* the clock's resolution */
    double floor_db; /* softest that the pad reports: known, or seen from strokes that are cut off;
                        -INFINITY when neither */
    uint32_t steady[EH_DYNAMIC_COUNT]; /* taps of each mark outside hairpins */
    uint32_t masked[2];                /* missing second strokes that the pad may have hidden */

    /* Scratch: each holds COUNT + 8 values. */
    double *a, *b, *c, *d, *e, *f;
    double *wide; /* COUNT and as many values as there are hits */
    uint32_t *index;
    uint8_t *group;

    /* Notes by written bar. */
    double *bar_sum;
    uint32_t *bar_count;
    int32_t bars;
};

/* ---- measure_room.c ---- */

/* How many bytes of scratch room a run needs, and laying it out in ROOM (aligned for any type). */
size_t measures_size(const struct eh_measure_input *input);
void measures_init(struct measures *m, const struct eh_measure_input *input,
                   struct eh_judgement *judgement, void *room);

/* ---- measure_bars.c ---- */

/* Forgets the notes; adds one (how bad that stroke was); hands the worst bars, those whose mean is
 * at least LEAST, to a finding. */
void measure_bars_clear(struct measures *m);
void measure_bars_note(struct measures *m, size_t row, double badness);
void measure_bars_give(struct measures *m, double least, struct eh_finding *finding);

/* Makes the bars count by the sum of their notes, not by the mean. */
void measure_bars_means_to_sums(struct measures *m);

/* One stroke's reading of what an aspect looks at, NAN where it has none. */
typedef double (*measure_reader)(const struct measures *m, size_t row, const void *what);

/* The range of an aspect (NAN: open) and how its readings scatter. */
struct measure_limits {
    double low, high, scale;
};

/* Bars FROM .. TO, whose centre lies beyond a limit. */
struct measure_window {
    struct eh_estimate e; /* its interval allows for all rows of bars that were looked at */
    int32_t from, to;
    bool above;
};

/* Whether a row of 1, 2 or 4 written bars surely lies beyond the limits. Uses the notes. */
bool measure_bars_apart(struct measures *m, measure_reader read, const void *what,
                        const struct measure_limits *limits, struct measure_window *out);
void measure_window_give(const struct measure_window *w, struct eh_finding *finding);

/* The next main stroke after ROW, or COUNT. */
size_t measure_next_main(const struct measures *m, size_t row);

/* A double: rows of its strokes and of the main stroke after it (COUNT: none). */
struct measure_twin {
    size_t first, second, next;
};

/* The double whose first stroke is ROW; false when ROW opens none. */
bool measure_twin_at(const struct measures *m, size_t row, struct measure_twin *out);

/* ---- measure_about.c ---- */

/* Whether the aspects of doubles are asked of HAND: the run asks for enough of them for a verdict,
 * or every eighth stroke of the hand or more opens one, in the bars that are played or in the whole
 * exercise. ALIKE: only those with one accent and one dynamic count. */
bool measure_is_about_doubles(const struct measures *m, int hand, bool alike);

/* ---- measure_lost.c ---- */

/* Fills LOST_MS: where between two heard strokes as many are missed as there are extra hits, the
 * hits are most likely the strokes, too far from their place to be followed. They stay missed and
 * extra; but what asks how far strokes stray would be blind without the furthest ones. */
void measure_find_lost(struct measures *m);

/* Whether a stroke was heard, followed or not, and how late it came. */
static inline double measure_came(const struct measure_stroke *r) {
    return r->matched ? r->off_ms : r->lost_ms;
}

/* ---- measure_pad.c ---- */

/* Widens an estimate in dB by what the pad's level map is uncertain of. */
struct eh_estimate measure_widen_scale(const struct measures *m, struct eh_estimate e);

/* The level below which the pad reports no stroke GAP_MS after one of FIRST_LEVEL (NAN: nothing
 * before); -INFINITY when it reports all. */
double measure_pad_hides(const struct measures *m, double first_level, double gap_ms);

/* Fills FLOOR_DB and HIDDEN of the rows; needs the offset. */
void measure_mark_hidden(struct measures *m);

/* ---- measure_hidden.c ---- */

/* The chance, 0 to just below 1, that the pad would not have reported each row's stroke although it
 * was played. OUT_CHANCE holds COUNT values and is none of A, B and C, which are overwritten.
 * Returns the variance that what is not known of the chances leaves to the number of main strokes
 * that were left out; grace notes that are missing are no fault by themselves. */
double measure_hidden_chances(struct measures *m, double *out_chance);

/* ---- measure_centre.c ---- */

/* Robust centre of a hand's readings, widened by what one reading of the clock may be off (0 for
 * levels). OTHER: the other hand's readings of the same kind, which tell of the same scatter. Both
 * may be reordered. ROOM holds N or OTHER_N values, whichever are more. */
struct eh_estimate measure_centre(double *a, size_t n, const double *other, size_t other_n,
                                  double clock, double *room);

/* ---- measure_tailed.c ---- */

/* The same for readings with the long tails of second strokes' times. */
struct eh_estimate measure_tailed(double *a, size_t n, const double *other, size_t other_n,
                                  double clock, double *room);

/* ---- measure_uncut.c ---- */

/* Readings, and what the pad would not have let through at each one's place. */
struct measure_cut {
    const double *v, *cut;
    size_t n;
};

/* The centre of what was played behind the readings of a hand, OTHER being the other hand's of the
 * same kind. OUT_HIDDEN: how many readings were then cut off. NAN below four readings, and where
 * all are alike. */
struct eh_estimate measure_uncut(const struct measure_cut *own, const struct measure_cut *other,
                                 double *out_hidden);

/* ---- measure_local.c ---- */

/* A row of readings in order of time. A reading is its stretch's local trend, plus or minus half of
 * what the hands differ by, plus its own scatter. */
struct measure_local {
    size_t n;
    const double *x, *y;
    const uint32_t *row; /* of each reading: its row */
    const uint8_t *hand; /* 0 left, 1 right */
    bool by_passage;     /* stretches are passages */
    double *trend;       /* out: what both hands share at each reading */
    double *rest;        /* out: the reading less trend and hand, scaled up by what the fit took */
    double *lean;        /* out: how far its hand stands out from the hands around, in [-1, 1] */
    double *weight;      /* scratch */
    double scale;        /* out: 1.4826 MAD of the rests */
    struct eh_estimate left_less_right; /* out; NAN where the hands cannot be told from the trend */
};

/* Fits local lines over eight readings either side and the hands' difference at once. ROOM: n
 * values. */
void measure_local_fit(const struct measures *m, struct measure_local *local, double *room);

/* Trends of time and level for the whole run: fills time_rest, level_rest, hand_time, hand_level
 * and tap_spread. */
void measure_trends(struct measures *m);
void measure_level_trend(struct measures *m); /* the latter three, anew */

/* ---- measure_onset.c ---- */

/* Marks presses whose first note the pad may have hidden, or that were given a bounce instead, by
 * what is left of their times (REST: of N rows, scattered by SCALE): true when any is new. */
bool measure_mark_doubtful(struct measures *m, const uint32_t *row, const double *rest, size_t n,
                           double scale);

/* ---- measure_roll.c ---- */

/* Whether a press is written to sound up to the main stroke at row NEXT. */
bool measure_reaches(const struct measures *m, size_t press, size_t next);

/* Median level of the first notes of HAND's presses (-1: both); OUT_N, if not NULL: of how many. */
double measure_press_level(struct measures *m, int hand, size_t *out_n);

/* A buzz roll as a whole; medians over rolls, NAN without. */
struct measure_roll {
    double balance_db; /* left presses less right; NAN where one hand has too few */
    size_t starts, releases, ends;
    double start_late_ms;   /* against the local tempo */
    double release_late_ms; /* of a stroke that ends it, likewise */
    double end_early_ms;    /* of the sound against its written end, where no stroke ends it */
};

/* HAND: whose starts and releases (-1: both). M->F holds when each press's last note came. */
void measure_roll_find(struct measures *m, int hand, struct measure_roll *out);
struct verdict_words;
void measure_roll_say(struct verdict_words *w, const struct measure_roll *r);

/* ---- The aspects, each in its file ---- */

void measure_diddle_spacing(struct measures *m);
void measure_diddle_level(struct measures *m);
void measure_accent(struct measures *m);
void measure_unmarked_accent(struct measures *m);
void measure_tap_level(struct measures *m);
void measure_flams(struct measures *m);
void measure_buzz(struct measures *m);
void measure_hand_level(struct measures *m);
void measure_hand_timing(struct measures *m);
void measure_timing(struct measures *m);
void measure_tempo(struct measures *m);
void measure_free_tempo(struct measures *m); /* instead, where there was no click */
void measure_counts(struct measures *m);
void measure_dynamics(struct measures *m);
void measure_hairpin(struct measures *m);

/* A hairpin that turns round, or that ends too far from the mark that it leads to: fills FINDING.
 * False when none surely does. */
bool measure_hairpin_shape(struct measures *m, struct eh_finding *finding);
void measure_rim(struct measures *m);
void measure_sticking(struct measures *m);

#endif
