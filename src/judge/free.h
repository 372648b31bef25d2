/* The inside of the search for a tempo, see free_tempo.h. Music counts in quarters, time in ms from
 * the take's first hit; both as double, which is exact to far below a tick and a nanosecond here.
 */
#ifndef EVENHAND_JUDGE_FREE_H
#define EVENHAND_JUDGE_FREE_H

#include <stdbool.h>

#include "evenhand/free_tempo.h"

/* A main stroke as the search sees it. */
struct free_note {
    double at;      /* quarters from the plan's first bar line */
    double spacing; /* quarters to the nearer neighbour */
    double beat;    /* quarters: what one beat of its metre is worth */
    uint32_t due;   /* its number in the plan */
    uint32_t bar;   /* its bar, likewise */
    uint8_t graces;
    bool buzz;
    bool on_beat; /* players leave and rejoin the music here */
    bool in_time; /* single, first or buzz: its time is the hand motion's */
};

struct free_notes {
    struct free_note *notes; /* owned */
    size_t count;
    double slowest, fastest; /* the exercise's own tempi, quarters a minute */
};

EH_MUST_USE enum eh_status free_notes_init(struct free_notes *out, const struct eh_plan *plan);
void free_notes_deinit(struct free_notes *notes);

/* What is known before the first stroke: the taps' distance and the last tap. */
struct free_lead {
    bool known;
    size_t first_hit;         /* the first hit after the taps */
    double last_ms;           /* the last tap */
    double quarter_ms;        /* by the taps */
    double beat;              /* quarters from the last tap to the start */
    double least_ms, most_ms; /* the taps' smallest and largest distance */
};

/* A stroke and its hit. */
struct free_pair {
    double at; /* quarters of the player's own beat: the stroke's place, moved by what was skipped
                  or repeated before it */
    double ms;
    uint32_t due, hit;
    bool in_time;
    bool halted; /* the player had waited before it */
};

struct free_pairs {
    struct free_pair *pairs; /* owned */
    size_t count;
};

/* ---- free_lead.c ---- */

/* The pad's own echo of the hit before. */
bool free_is_echo(const struct eh_pad *pad, const struct eh_hit *hits, size_t hit);

/* What the first TAPS of COUNT hits are as a count-off, echoes left out: false where they are not
 * even, or too few. What a tap is worth is not said yet: QUARTER_MS is their distance. */
bool free_lead_read(struct free_lead *out, const struct eh_hit *hits, size_t count, size_t taps,
                    const struct eh_pad *pad);

/* What a tap may be worth, in quarters, by the metre of the plan's first bar. */
enum { FREE_WORTHS = 3 };
void free_lead_worths(const struct eh_plan *plan, double out_worths[FREE_WORTHS]);

/* OUT is LEAD with taps that are worth WORTH quarters; false where that is no tempo. */
bool free_lead_worth(struct free_lead *out, const struct free_lead *lead, double worth);

/* ---- free_path.c ---- */

/* Rows of strokes and tempi for the hits, the cheapest first: another one differs from those before
 * it in how the first stroke and the first hit go together, and is hardly dearer. Where strokes are
 * alike "the first stroke was left out" and "the last one was" can be told apart only by a tempo
 * that is smoother than the search's. */
enum { FREE_READINGS = 3 };

struct free_readings {
    struct free_pairs pairs[FREE_READINGS]; /* owned */
    double cost[FREE_READINGS];             /* negative where anything fits */
    size_t count;                           /* at least one */
};

/* Errors: EH_NO_MEMORY, EH_NO_FIT (no two strokes). */
EH_MUST_USE enum eh_status free_path_find(struct free_readings *out, const struct free_notes *notes,
                                          const struct eh_take *take, const struct eh_pad *pad,
                                          const struct free_lead *lead);
void free_readings_deinit(struct free_readings *readings);

/* ---- free_step.c: one path, one stroke further ---- */

/* What a path has heard of a bar. */
struct free_heard {
    uint32_t bar;     /* its number in the plan */
    uint32_t strokes; /* main strokes; 0: no bar yet */
    double at, ms;    /* the first of them: quarters of the player's own beat, and when it came */
    double bpm;       /* a bar that was left: quarters a minute from there to the next bar's first
                         stroke; NAN where the player waited in it */
    bool halted;
};

/* A path: where it is, what it believes of the tempo, and what it has cost. */
struct free_path {
    double cost;
    double at;            /* the place on the player's beat */
    double shift;         /* that place less the note's own: whole beats skipped or repeated */
    double ms, quarter;   /* believed time of the last stroke; ms a quarter there */
    double v00, v01, v11; /* their variances; v11 < 0: the tempo is not known yet */
    double hit_ms;        /* when its last stroke was really hit */
    double left[3];       /* when the last hits came that were left over since; newest first */
    uint32_t note, hit;   /* its last stroke */
    int64_t lag;          /* its first stroke's number less that hit's */
    uint32_t node;        /* its last stroke in the tree of all */
    uint16_t left_over;   /* hits since the last stroke that were left over ... */
    double left_cost;     /* ... and what they have cost so far */
    bool fresh, halted;   /* made with this hit; and after a halt */
    bool before;          /* no stroke yet: stands at the last tap of a count-off */
    struct free_heard in, past; /* the bar of its last stroke, and the one before */
};

/* How well a stroke keeps its place at this tempo: one standard deviation, ms. */
double free_scatter_ms(const struct free_note *note, double quarter_ms);

/* The dearer, the further TEMPO lies outside the exercise's own marks. */
double free_prior_cost(const struct free_notes *notes, double quarter_ms);

/* Hits before the start and after the end are the player's own, but a reading that needs fewer of
 * them is the likelier one. */
#define FREE_OUTSIDE_COST 0.3

/* A hit is left over. ECHO: it is the pad's echo of the one before. */
void free_leave_over(struct free_path *path, const struct free_notes *notes, double ms, bool echo);

/* How a path goes on. */
struct free_move {
    uint32_t note; /* the stroke that the hit is taken for */
    uint32_t hit;
    double ms;    /* when the hit came */
    double shift; /* the path's after it */
    double cost;  /* of the move itself: strokes left out, a jump, a halt */
    bool halt;    /* the time before it says nothing */
};

/* Takes the move. False when the hit lies too far from where it would have to be. */
bool free_go(struct free_path *path, const struct free_notes *notes, const struct free_move *move);

/* ---- free_curve.c ---- */

/* A smooth curve through the pairs as a tempo map; tick 0 is at = 0. ORIGIN_NS is what ms count
 * from. Errors: EH_NO_MEMORY, EH_NO_FIT (fewer than two pairs, or time running backwards). */
EH_MUST_USE enum eh_status free_curve_fit(struct eh_tempo_map *out, const struct free_pairs *pairs,
                                          int64_t origin_ns, double bar_quarters);

/* ---- free_drift.c ---- */

/* Fills bpm, wander, rise, fall and change from the map and the pairs it was laid through. */
EH_MUST_USE enum eh_status free_drift_sum_up(struct eh_free_tempo *tempo,
                                             const struct free_pairs *pairs, double bar_quarters);

#endif
