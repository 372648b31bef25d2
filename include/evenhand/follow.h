/* The follower: which hit was which stroke.
 *
 * An order-preserving matching of least cost between the strokes that are due and the hits that
 * came, found exactly by dynamic programming while the hits arrive. What is settled never changes
 * again. Pure: no I/O, no clock, no lock, and no allocation after eh_follower_new. One thread at a
 * time may use one follower. */
#ifndef EVENHAND_FOLLOW_H
#define EVENHAND_FOLLOW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/plan.h"
#include "evenhand/status.h"

enum { EH_NO_HIT = -1 };

/* What became of a due stroke. */
struct eh_match {
    int32_t hit;      /* index of its hit (a buzz: the first), or EH_NO_HIT */
    int32_t bounces;  /* a buzz: how many further hits belong to it; they are those whose fate
                         names this stroke */
    int64_t shift_ns; /* whole beats by which the player's place in the score had moved against
                         the click when it was played (after a skip or a repeat); 0 as a rule */
};

enum eh_fate_kind {
    EH_FATE_PENDING = 0,
    EH_FATE_STROKE,         /* the hit of a stroke (grace notes too) */
    EH_FATE_BOUNCE,         /* a further hit of a buzz */
    EH_FATE_EXTRA,          /* belongs to nothing that is due */
    EH_FATE_DOUBLE_TRIGGER, /* the pad's echo of the hit before */
    EH_FATE_OUTSIDE         /* before the exercise's start or after its end: not judged */
};

/* What became of a hit. */
struct eh_fate {
    uint8_t kind; /* enum eh_fate_kind */
    uint32_t due; /* STROKE, BOUNCE: which; else undefined */
};

enum eh_course_kind { EH_COURSE_LATE_START, EH_COURSE_STOP, EH_COURSE_SKIP, EH_COURSE_REPEAT };

/* Where the player left the written way. */
struct eh_course {
    uint8_t kind;  /* enum eh_course_kind */
    uint32_t due;  /* stop, late start: the first stroke left out; skip, repeat: the first
                      stroke played after it */
    int64_t at_ns; /* the take's clock: when it happened */
};

struct eh_follower;

/* Room for results is the caller's: MATCHES has plan->due_count entries, FATES has HIT_CAPACITY.
 * Both are filled by the follower and must outlive it, as must PLAN and PAD.
 * HITS is the caller's row of hits, all the pad's own; hit number k must stand in HITS[k] before
 * eh_follower_feed is called for it. Errors: EH_NO_MEMORY. */
struct eh_follow_room {
    const struct eh_hit *hits;
    struct eh_match *matches;
    struct eh_fate *fates;
    size_t hit_capacity;
    int64_t expected_offset_ns; /* the player's constant offset as far as it is known before; 0 */
    bool offset_known;          /* whether it is known: the first stroke then lies near it */
    bool patient;  /* nobody waits for an answer: a stroke is settled when no path disagrees any
                      more, and 12 s after it was due at the latest */
    bool straight; /* the plan is the way that was taken: never look for another */
};

EH_MUST_USE enum eh_status eh_follower_new(struct eh_follower **out_follower,
                                           const struct eh_plan *plan, const struct eh_pad *pad,
                                           const struct eh_follow_room *room);

/* NULL is accepted. */
void eh_follower_free(struct eh_follower *follower);

/* Takes hit number HIT, which must be the next one (0, 1, 2 ...), not earlier than the one before.
 * False when the room for hits is used up: the hit is not followed. */
bool eh_follower_feed(struct eh_follower *follower, size_t hit);

/* Says that no hit earlier than NOW_NS will come any more. */
void eh_follower_advance(struct eh_follower *follower, int64_t now_ns);

/* Says that no hit will come any more: everything is settled afterwards. */
void eh_follower_finish(struct eh_follower *follower);

/* Strokes and hits below these numbers are settled. */
size_t eh_follower_settled_due(const struct eh_follower *follower);
size_t eh_follower_settled_hits(const struct eh_follower *follower);

/* The courses found so far, in order of time; at most a fixed number is kept. */
const struct eh_course *eh_follower_courses(const struct eh_follower *follower, size_t *out_count);

/* The cost of the whole matching once finished: the sum that was made as small as possible. */
double eh_follower_cost(const struct eh_follower *follower);

#endif
