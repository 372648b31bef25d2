/* The way that a player took through an exercise: which beats of it were played when.
 *
 * The follower goes from stroke to stroke and looks for another place only where it is lost.
 * Whether a bar was left out, played twice or waited for is a question about the whole take, since
 * bars are often alike but for an accent; so it is asked of the whole take, beat by beat, as a path
 * of least cost through (beat of the click, beat of the score). Found is a plan laid along the way
 * that was taken; the follower then follows that as if it had been written so. See
 * docs/follower.md. */
#ifndef EVENHAND_JUDGE_COURSE_H
#define EVENHAND_JUDGE_COURSE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/follow.h"
#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/plan.h"

/* A main stroke of a beat. */
struct course_main {
    double after_ns; /* the beat's beginning */
    double near_ns;  /* a hit further off is not its own */
    double unit_ns;  /* one unit of deviation */
    uint32_t due;
    double level_db; /* as written, over the mean of all: 3 dB a mark */
    uint8_t graces;
    uint8_t hand;
    bool accent;
    bool buzz;
};

/* A beat of the score. */
struct course_cell {
    eh_ticks at, end;
    int64_t at_ns, length_ns;
    uint32_t first_main, main_count;
    uint32_t bar;    /* index into the plan's bars */
    double place;    /* in bars from the beginning */
    double early_ns; /* how early its first stroke may come */
    uint32_t graces;
    bool bar_line; /* the first of its bar */
    bool sounding; /* a buzz sounds in it: any number of hits */
};

/* A hit that is not an echo. */
struct course_hit {
    double at_ns;    /* from the plan's start */
    double above_db; /* over the hits around */
    double level_db; /* over the mean of all */
    double press;    /* what it costs that a press begins with it */
    bool leads;      /* a much louder one follows at once: rather a grace note than a stroke */
    uint8_t zone;
};

/* What a path is looked for in. */
struct course_ground {
    const struct eh_plan *plan;
    struct course_cell *cells;
    struct course_main *mains;
    size_t cell_count, main_count;
    double *grid_ns; /* beats of the click, from the plan's start: those of the plan, then on as
                        the last one */
    size_t grid_count;
    struct course_hit *hits;
    size_t hit_count;
    double place_ns; /* the player's offset from the click at the beginning, as far as known */
    bool accents;    /* the exercise has accents and taps to tell its bars apart by */
};

/* Frees what the ground owns; an all-zero ground is accepted. */
void course_ground_deinit(struct course_ground *ground);

/* Errors: EH_NO_MEMORY. */
enum eh_status course_ground_init(struct course_ground *ground, const struct eh_plan *plan,
                                  const struct eh_take *take, const struct eh_pad *pad);

/* How well a beat of the score sounds at a beat of the click. */
struct course_fit {
    double cost;
    double off_ns; /* mean deviation of what was found */
    double head;   /* of the cost: strokes missed before the first that was found */
    double tail;   /* the same: after the last */
    int found;
};

struct course_fit course_fit(const struct course_ground *ground, size_t beat, size_t cell,
                             double place_ns);

/* How many hits lie within the beat, for a player PLACE_NS off the click. */
int course_hits_within(const struct course_ground *ground, size_t beat, double place_ns);

/* One stretch of the way: cells FIRST_CELL on, COUNT of them, from beat FIRST_BEAT of the click on.
 */
struct course_stretch {
    uint32_t first_beat, first_cell, count;
};

struct course_way {
    struct course_stretch *stretches; /* owned */
    size_t count;
    double *place_ns; /* owned; by beat of the click: the player's offset from it */
    double cost;
};

void course_way_deinit(struct course_way *way);

/* The way of least cost, for a player who is place_ns off at the beginning; one stretch when the
 * player went straight. Errors: EH_NO_MEMORY. */
enum eh_status course_way_find(struct course_way *out_way, const struct course_ground *ground);

/* The cheapest way that is the written one up to some place and from some bar line on the same BY
 * beats later (earlier where BY is negative), with the offsets of WAY, which begins as written and
 * has several stretches. WAITED: nothing is left out and nothing played again (BY > 0). No stretch
 * when there is none. Errors: EH_NO_MEMORY. */
enum eh_status course_shift_find(struct course_way *out_way, const struct course_ground *ground,
                                 const struct course_way *way, int64_t by, bool waited);

/* A plan laid along a way, each stroke where this player is expected to play it. */
struct course_laid {
    struct eh_plan plan; /* owned */
    uint32_t *origin;    /* owned; by due of that plan: the due of the written one */
    int64_t *moved_ns; /* owned; by due: how far the click's time for it is from the written one */
};

void course_laid_deinit(struct course_laid *laid);

/* Errors: EH_NO_MEMORY. */
enum eh_status course_lay(struct course_laid *out_laid, const struct course_ground *ground,
                          const struct course_way *way);

/* Whether matches and fates look as if the player had left the written way. Cheap. */
bool course_suspected(const struct eh_plan *plan, const struct eh_take *take,
                      const struct eh_pad *pad, const struct eh_match *matches,
                      const struct eh_fate *fates);

#endif
