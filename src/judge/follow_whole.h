/* Following a whole take at once: a plan, a take, and what became of both. */
#ifndef EVENHAND_JUDGE_FOLLOW_WHOLE_H
#define EVENHAND_JUDGE_FOLLOW_WHOLE_H

#include "evenhand/follow.h"
#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/plan.h"

/* All owned. */
struct followed {
    struct eh_match *matches; /* one a due */
    struct eh_fate *fates;    /* one a hit */
    struct eh_course *courses;
    size_t course_count;
    double cost;
    double agreement; /* see follow_agreement */
};

/* What is known of the player before. */
struct follow_hint {
    int64_t offset_ns;
    bool offset_known;
    int64_t early_ns; /* the offset at the beginning, as first followed */
    bool straight;    /* see eh_follow_room */
};

/* Errors: EH_NO_MEMORY; OUT is then all zero. */
enum eh_status follow_whole(struct followed *out, const struct eh_plan *plan,
                            const struct eh_take *take, const struct eh_pad *pad,
                            const struct follow_hint *hint);

/* An all-zero one is accepted. */
void followed_deinit(struct followed *followed);

/* How far what was played agrees with PLAN, 0 .. 1: 1 when every stroke found its hit, no hit was
 * left over, accents fell where they are written and distances were the written ones. LEAPS: how
 * many different leaps the player made. ASIDE: hits that PLAN leaves aside although they belong to
 * the playing. */
double follow_agreement(const struct followed *f, const struct eh_plan *plan,
                        const struct eh_take *take, const struct eh_pad *pad, size_t leaps,
                        size_t aside);

/* Looks for the way that the player took through PLAN, and when it is not the written one, follows
 * along it: FOLLOWED is then replaced where that explains the take better. Nothing is done for a
 * plan of several passes. Errors: EH_NO_MEMORY; FOLLOWED is then left alone. */
enum eh_status follow_along_way(struct followed *followed, const struct eh_plan *plan,
                                const struct eh_take *take, const struct eh_pad *pad,
                                const struct follow_hint *hint);

#endif
