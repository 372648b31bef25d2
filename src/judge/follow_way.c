#include <math.h>
#include <stdlib.h>

#include "course.h"
#include "follow_whole.h"

/* Another way than the written one must be cheaper by this much than a straight one, each leap
 * counted, in the follower's own costs. */
static const double leap_cost = 4.0;

/* A leap between two stretches of the way. A leap forward is a skip, one backward a repeat; going
 * on after a pause where one had stopped is a stop. */
static struct eh_course leap_of(const struct course_ground *g, const struct course_stretch *before,
                                const struct course_stretch *after) {
    const uint32_t next = before->first_cell + before->count;
    const struct course_cell *cell = &g->cells[after->first_cell];
    enum eh_course_kind kind = EH_COURSE_STOP;
    if (after->first_cell != next) {
        kind = after->first_cell > next ? EH_COURSE_SKIP : EH_COURSE_REPEAT;
    }
    uint32_t main = cell->first_main;
    if (main >= g->main_count) {
        main = (uint32_t)g->main_count - 1;
    }
    return (struct eh_course){.kind = (uint8_t)kind,
                              .due = g->mains[main].due,
                              .at_ns = llround(g->grid_ns[after->first_beat])};
}

static void insert(struct followed *f, struct eh_course course) {
    size_t at = f->course_count++;
    while (at > 0 && f->courses[at - 1].at_ns > course.at_ns) {
        f->courses[at] = f->courses[at - 1];
        at--;
    }
    f->courses[at] = course;
}

/* What the follower noted along the way keeps its place in the written plan; the way's own leaps
 * come in between. */
static bool join_courses(struct followed *f, const struct followed *along,
                         const struct course_ground *g, const struct course_way *way,
                         const struct course_laid *laid) {
    f->courses = calloc(along->course_count + way->count + 1, sizeof *f->courses);
    if (f->courses == NULL) {
        return false;
    }
    for (size_t i = 0; i < along->course_count; i++) {
        struct eh_course course = along->courses[i];
        course.due = laid->origin[course.due];
        f->courses[f->course_count++] = course;
    }
    for (size_t i = 1; i < way->count; i++) {
        insert(f, leap_of(g, &way->stretches[i - 1], &way->stretches[i]));
    }
    return true;
}

/* The first time that a stroke is played counts; what is played again is extra. */
static void bring_home(struct followed *f, const struct followed *along,
                       const struct course_laid *laid, const struct eh_plan *plan,
                       const struct eh_take *take) {
    for (size_t i = 0; i < plan->due_count; i++) {
        f->matches[i] = (struct eh_match){.hit = EH_NO_HIT};
    }
    for (size_t i = 0; i < laid->plan.due_count; i++) {
        const uint32_t due = laid->origin[i];
        const struct eh_due *main = &laid->plan.due[laid->plan.due[i].main];
        struct eh_match *match = &f->matches[due];
        if (match->hit == EH_NO_HIT && along->matches[i].hit != EH_NO_HIT) {
            *match = along->matches[i];
            match->shift_ns = main->at_ns - plan->due[plan->due[due].main].at_ns;
        }
    }
    for (size_t h = 0; h < take->count; h++) {
        struct eh_fate fate = along->fates[h];
        if (fate.kind == EH_FATE_STROKE || fate.kind == EH_FATE_BOUNCE) {
            const int32_t taken = along->matches[fate.due].hit;
            fate.due = laid->origin[fate.due];
            const bool first = f->matches[fate.due].hit == taken;
            fate = first ? fate : (struct eh_fate){.kind = EH_FATE_EXTRA};
        }
        f->fates[h] = fate;
    }
}

static enum eh_status follow_laid(struct followed *followed, const struct course_ground *g,
                                  const struct course_way *way, const struct eh_take *take,
                                  const struct eh_pad *pad, const struct follow_hint *hint) {
    struct course_laid laid;
    struct followed along = {0};
    const struct follow_hint straight = {hint->offset_ns, hint->offset_known, true};
    enum eh_status status = course_lay(&laid, g, way);
    if (status == EH_OK && laid.plan.due_count > 0) {
        status = follow_whole(&along, &laid.plan, take, pad, &straight);
        const double leaps = leap_cost * (double)(way->count - 1);
        if (status == EH_OK && along.cost + leaps < followed->cost) {
            struct followed home = *followed;
            home.courses = NULL;
            home.course_count = 0;
            if (join_courses(&home, &along, g, way, &laid)) {
                free(followed->courses);
                bring_home(&home, &along, &laid, g->plan, take);
                home.cost = along.cost + leaps;
                *followed = home;
            } else {
                status = EH_NO_MEMORY;
            }
        }
    }
    followed_deinit(&along);
    course_laid_deinit(&laid);
    return status;
}

enum eh_status follow_along_way(struct followed *followed, const struct eh_plan *plan,
                                const struct eh_take *take, const struct eh_pad *pad,
                                const struct follow_hint *hint) {
    if (plan->passes > 1 ||
        !course_suspected(plan, take, pad, followed->matches, followed->fates)) {
        return EH_OK;
    }
    struct course_ground ground;
    struct course_way way = {0};
    enum eh_status status = course_ground_init(&ground, plan, take, pad);
    if (status == EH_OK) {
        status = course_way_find(&way, &ground);
    }
    if (status == EH_OK && way.count > 0) {
        status = follow_laid(followed, &ground, &way, take, pad, hint);
    }
    free(way.stretches);
    course_ground_deinit(&ground);
    return status;
}
