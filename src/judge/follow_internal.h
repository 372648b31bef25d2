/* The follower's inside: cells, costs and settlement. See docs/follower.md.
 *
 * A cell says "main stroke s was hit number h". A path is a chain of cells, hits rising. Its cost
 * is the sum over its steps of
 *   - how far the player's offset from the click jumps from one stroke to the next, against the
 *     local stroke spacing (so a constant or slowly moving offset costs next to nothing),
 *   - the strokes left out and the hits left over between the two,
 * less a reward for each stroke that found its hit. Since a step's cost depends on its two cells
 * only, the least-cost path is found exactly by dynamic programming over cells. */
#ifndef EVENHAND_FOLLOW_INTERNAL_H
#define EVENHAND_FOLLOW_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/follow.h"

enum {
    FOLLOW_CELLS = 1 << 12, /* ring of cells; a power of two */
    FOLLOW_LIVE = 64,       /* paths kept side by side */
    FOLLOW_TARGETS = 12,    /* strokes that one hit may stand for */
    FOLLOW_KEPT = 2,        /* paths kept for one stroke and one hit */
    FOLLOW_MAINS = 1 << 11, /* main strokes at hand; a power of two */
    FOLLOW_COURSES = 64,
    FOLLOW_CHAIN = 5,       /* hits in a row that show where a lost player went on */
    FOLLOW_HEARD = 1 << 12, /* hits whose likeness is remembered; a power of two */
    FOLLOW_MEMORY = 8       /* hits over which trouble is judged; a power of two */
};

/* A main stroke, with what the costs need. */
struct follow_main {
    int64_t at_ns;
    int64_t bar_end_ns;
    int64_t sustain_ns; /* a buzz: how long it sounds; else 0 */
    int64_t beat_ns;    /* length of a beat of its bar */
    double scale_ns;    /* what counts as one unit of deviation */
    int32_t number;     /* from 1; 0: nothing is laid here yet */
    uint32_t due;
    uint32_t bar;
    uint8_t graces;
    uint8_t hand;
    bool buzz;
    bool accent;
    bool on_beat;
};

struct follow_cell {
    double cost;     /* of the path up to and including this cell */
    double other;    /* cost of the hits since that are not extras (echoes, bounces) */
    double place_ns; /* the player's offset from the click as carried along the path */
    double pace;     /* its change a nanosecond of the click */
    double home_ns;  /* its long mean, to which a player comes back */
    double weight;   /* how many strokes the offset rests on, up to a bound */
    int32_t home_weight;
    int64_t shift_ns; /* whole beats of that: where the player's place has moved to */
    int64_t press_ns; /* time of the last hit that belongs to a buzz's press */
    int64_t parent;   /* serial number */
    int64_t child;    /* used while a path is settled */
    int32_t main;     /* -1: the start */
    int32_t hit;
    int32_t high;   /* furthest main stroke matched on the path */
    int32_t extras; /* extra hits since */
    bool jumped;    /* reached by a change of course */
};

/* What is known of a hit by itself. */
struct follow_heard {
    double level_db;
    bool echo; /* may be the pad's echo of the hit before */
};

/* A stretch in which hits count: a pass with its margins. */
struct follow_window {
    int64_t look_ns; /* from here on a hit may be the first stroke ... */
    int64_t open_ns; /* ... and from here on it is an extra if it is not */
    int64_t close_ns;
};

struct eh_follower {
    const struct eh_plan *plan;
    const struct eh_pad *pad;
    struct eh_follow_room room;

    struct follow_main *mains; /* ring, filled as they are needed; slot = number of the main
                                  stroke & (FOLLOW_MAINS - 1) */
    int32_t main_count;
    struct follow_window window; /* the one that the newest hit is in or before ... */
    size_t pass;                 /* ... and its pass */
    int64_t look_ns;             /* of the first one */

    struct follow_cell *cells; /* ring; slot = serial & (FOLLOW_CELLS - 1) */
    int64_t serial;            /* of the next cell */
    int64_t root;              /* serial of the newest settled cell */
    int64_t live[FOLLOW_LIVE];
    int live_count;

    int32_t hit_count;    /* hits taken */
    int32_t settled_hits; /* hits below are settled */
    int32_t floor;        /* main strokes below are settled */
    int64_t checkpoint_ns;
    double level_db; /* running mean of the hits' levels; NAN while nothing was heard */
    struct follow_heard heard[FOLLOW_HEARD]; /* the newest hits; slot = hit & (FOLLOW_HEARD - 1) */
    double memory[FOLLOW_MEMORY];            /* least path cost after each of the last hits */

    struct eh_course courses[FOLLOW_COURSES];
    size_t course_count;
    double final_cost;
    bool finished;
};

/* Smaller and larger of two numbers; fmin and fmax are calls, since they must mind NANs. */
static inline double follow_less(double a, double b) {
    return a < b ? a : b;
}

static inline double follow_more(double a, double b) {
    return a > b ? a : b;
}

static inline struct follow_cell *follow_cell(struct eh_follower *f, int64_t serial) {
    return &f->cells[serial & (FOLLOW_CELLS - 1)];
}

/* The window of a pass. */
struct follow_window follow_window_of(const struct eh_plan *plan, size_t pass);

/* Lays main stroke MAIN into its slot. */
void follow_lay_main(const struct eh_follower *f, int32_t main, struct follow_main *out_main);

static inline const struct follow_main *follow_main(const struct eh_follower *f, int32_t main) {
    struct follow_main *m = &f->mains[main & (FOLLOW_MAINS - 1)];
    if (m->number != main + 1) {
        follow_lay_main(f, main, m);
    }
    return m;
}

/* When the click says that a main stroke is due. */
static inline int64_t follow_due_ns(const struct eh_follower *f, int32_t main) {
    return f->plan->due[f->plan->mains[main]].at_ns;
}

/* Costs; the unit is the weight of one standard deviation squared and halved. */
#define FOLLOW_MISSED 2.5 /* a stroke left out: about one in twelve */
#define FOLLOW_EXTRA 2.5
#define FOLLOW_REWARD 2.0
#define FOLLOW_REPLAY_REWARD 1.9 /* a bar played again tells less than a new one */
/* Runs of strokes left out or hits left over cost less each from the fifth on, and are bounded, so
 * that a stop or a bar played twice can be bridged. */
#define FOLLOW_FULL_PRICE 4
#define FOLLOW_EXTRA_RUN 0.4
#define FOLLOW_RUN_MOST 16.0

static inline double follow_missed_cost(int32_t strokes) {
    return FOLLOW_MISSED * (strokes < FOLLOW_FULL_PRICE ? strokes : FOLLOW_FULL_PRICE);
}

static inline double follow_extra_cost(int32_t hits) {
    if (hits <= FOLLOW_FULL_PRICE) {
        return FOLLOW_EXTRA * hits;
    }
    const double more = FOLLOW_EXTRA_RUN * (hits - FOLLOW_FULL_PRICE);
    return follow_less(FOLLOW_EXTRA * FOLLOW_FULL_PRICE + more, FOLLOW_RUN_MOST);
}

static inline double follow_reward(bool replay) {
    return replay ? FOLLOW_REPLAY_REWARD : FOLLOW_REWARD;
}

double follow_jump_cost(void);

/* One unit of deviation at a stroke spacing. */
double follow_unit_ns(int64_t spacing_ns);

/* How far from its due time cell C expects main stroke MAIN: the offset carried along, on its way
 * back to its long mean, moved on with the pace. Times become doubles only as differences, so that
 * the same run an hour later is followed alike to the last bit. */
double follow_offset_ns(const struct eh_follower *f, const struct follow_cell *c, int32_t main);

/* A step, and where it was expected (after the start: see follow_offset_ns). */
struct follow_step {
    double cost, offset_ns;
};

/* The cost of MAIN being hit at AT_NS when the path has come to cell C; INFINITY when that is no
 * step but a change of course. */
struct follow_step follow_step_cost(const struct eh_follower *f, const struct follow_cell *c,
                                    int32_t main, int64_t at_ns);

/* The cost of two neighbouring strokes' distance differing from the written one by DELTA_NS. */
double follow_interval_cost(const struct eh_follower *f, int32_t first, int64_t delta_ns);

/* The cost of cell C's offset lying away from its long mean. */
double follow_home_cost(const struct eh_follower *f, const struct follow_cell *c);

/* Carries the offset of cell P, which expected OFFSET_NS, on to cell C, whose main and hit are set;
 * the stroke came LATE_NS before the hit. */
void follow_carry(const struct eh_follower *f, const struct follow_cell *p, struct follow_cell *c,
                  double offset_ns, double late_ns);

/* The cost of hit HIT standing for main stroke MAIN by what it is like (pad, echo, level). */
double follow_likeness_cost(const struct eh_follower *f, int32_t main, int32_t hit);

/* What it costs that a hit that comes GAP_NS after the one before and is RISE_DB louder begins a
 * press; and that HIT does. */
double follow_press_cost(int64_t gap_ns, double rise_db);
double follow_onset_cost(const struct eh_follower *f, int32_t hit);

/* What it costs that HIT, AWAY_NS from where it was expected, is the first of a press to be heard;
 * ONSET_COST: by its rise. LATE_NS: by how much its onset came before it, unheard. */
struct follow_press {
    double cost, late_ns;
};
struct follow_press follow_press_step(const struct eh_follower *f, int32_t hit, double onset_cost,
                                      double away_ns);

/* What it costs that the press of cell C, if it is one, had no more bounces than came before HIT.
 */
double follow_dry_cost(const struct eh_follower *f, const struct follow_cell *c, int32_t hit);

/* What the hits between two cells are, and what that costs. */
struct follow_between {
    int32_t extras;
    double other;
    double grace;           /* cost of the grace notes of the later cell */
    int32_t grace_hits[16]; /* by rank - 1: the hit of each grace note, or EH_NO_HIT */
};

/* Adds HIT, which follows cell C and is no main stroke, to C's trailing account. */
void follow_trail(const struct eh_follower *f, struct follow_cell *c, int32_t hit);

/* Takes note of HIT's own level and whether it may be an echo, before it is followed. */
void follow_hear(struct eh_follower *f, int32_t hit);

/* Takes HIT into the running mean of levels, after it was followed. */
void follow_hear_level(struct eh_follower *f, int32_t hit);

double follow_level_db(const struct eh_follower *f, int32_t hit);
bool follow_is_echo(const struct eh_follower *f, int32_t hit);

/* Further than this from where cell C expects it, no main stroke is hit at AT_NS. */
double follow_reach_ns(const struct eh_follower *f, const struct follow_cell *c, int64_t at_ns);

/* What such a hit is: EXTRA, BOUNCE, DOUBLE_TRIGGER or OUTSIDE; *PRESS_NS moves on with a bounce.
 */
enum eh_fate_kind follow_trail_kind(const struct eh_follower *f, const struct follow_cell *c,
                                    int64_t *press_ns, int32_t hit);

/* Accounts for the hits between C and HIT when HIT stands for MAIN. */
void follow_account(const struct eh_follower *f, const struct follow_cell *c, int32_t main,
                    int32_t hit, struct follow_between *out_between);

/* Settlement. */
void follow_checkpoint(struct eh_follower *f, int64_t now_ns);
void follow_settle_all(struct eh_follower *f);
void follow_make_room(struct eh_follower *f);

/* Change of course: tries to find where a lost player went on. Adds a live cell or does nothing. */
void follow_seek_course(struct eh_follower *f, int32_t hit, double best);

/* Adds a cell and returns its serial; does not make it live. */
int64_t follow_add_cell(struct eh_follower *f, const struct follow_cell *cell);

/* The path cost of a live cell with what has come since. */
static inline double follow_standing(const struct follow_cell *c) {
    return c->cost + c->other + follow_extra_cost(c->extras);
}

#endif
