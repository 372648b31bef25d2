#include "follow_whole.h"

#include <stdlib.h>
#include <string.h>

/* A larger constant offset is less likely: one unit is 45 ms. */
static const double offset_unit_ns = 45e6;

void followed_deinit(struct followed *followed) {
    free(followed->matches);
    free(followed->fates);
    free(followed->courses);
    *followed = (struct followed){0};
}

static bool allocate(struct followed *f, const struct eh_plan *plan, const struct eh_take *take) {
    f->matches = calloc(plan->due_count + 1, sizeof *f->matches);
    f->fates = calloc(take->count + 1, sizeof *f->fates);
    return f->matches != NULL && f->fates != NULL;
}

static bool keep_courses(struct followed *f, const struct eh_follower *follower) {
    const struct eh_course *found = eh_follower_courses(follower, &f->course_count);
    f->courses = malloc((f->course_count + 1) * sizeof *f->courses);
    if (f->courses != NULL && f->course_count > 0) {
        memcpy(f->courses, found, f->course_count * sizeof *f->courses);
    }
    return f->courses != NULL;
}

enum eh_status follow_whole(struct followed *out, const struct eh_plan *plan,
                            const struct eh_take *take, const struct eh_pad *pad,
                            const struct follow_hint *hint) {
    *out = (struct followed){0};
    if (!allocate(out, plan, take)) {
        followed_deinit(out);
        return EH_NO_MEMORY;
    }
    const struct eh_follow_room room = {.hits = take->hits,
                                        .matches = out->matches,
                                        .fates = out->fates,
                                        .hit_capacity = take->count,
                                        .expected_offset_ns = hint->offset_ns,
                                        .offset_known = hint->offset_known,
                                        .patient = true,
                                        .straight = hint->straight};
    struct eh_follower *follower = NULL;
    enum eh_status status = eh_follower_new(&follower, plan, pad, &room);
    if (status == EH_OK) {
        for (size_t i = 0; i < take->count; i++) {
            (void)eh_follower_feed(follower, i);
        }
        eh_follower_finish(follower);
        const double unit = (double)hint->offset_ns / offset_unit_ns;
        out->cost = eh_follower_cost(follower) + 0.5 * unit * unit;
        status = keep_courses(out, follower) ? EH_OK : EH_NO_MEMORY;
        eh_follower_free(follower);
    }
    if (status != EH_OK) {
        followed_deinit(out);
    }
    return status;
}
