#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "start.h"

/* Following a whole take at once.
 *
 * Where strokes follow fast, "one stroke left out at the start" and "a constant offset of one
 * spacing" look alike until the end of the run shows a stroke too few or a hit too many. While the
 * player plays, nobody can wait for that; a whole take is followed again under the offset that the
 * other reading implies, and the cheaper reading counts. */
static const int64_t fast_spacing_ns = 160 * EH_NS_PER_MS;
static const int64_t largest_offset_ns = 130 * EH_NS_PER_MS;
/* A larger constant offset is less likely: one unit is 45 ms. */
static const double offset_unit_ns = 45e6;

struct pass {
    const struct eh_plan *plan;
    const struct eh_take *take;
    const struct eh_pad *pad;
    struct eh_match *matches;
    struct eh_fate *fates;
    struct eh_course *courses;
    size_t course_count;
    double cost;
};

static enum eh_status follow(struct pass *pass, int64_t expected_offset_ns, bool known) {
    const struct eh_follow_room room = {.hits = pass->take->hits,
                                        .matches = pass->matches,
                                        .fates = pass->fates,
                                        .hit_capacity = pass->take->count,
                                        .expected_offset_ns = expected_offset_ns,
                                        .offset_known = known};
    struct eh_follower *follower = NULL;
    enum eh_status status = eh_follower_new(&follower, pass->plan, pass->pad, &room);
    if (status != EH_OK) {
        return status;
    }
    for (size_t i = 0; i < pass->take->count; i++) {
        (void)eh_follower_feed(follower, i);
    }
    eh_follower_finish(follower);
    const double unit = (double)expected_offset_ns / offset_unit_ns;
    pass->cost = eh_follower_cost(follower) + 0.5 * unit * unit;
    const struct eh_course *found = eh_follower_courses(follower, &pass->course_count);
    free(pass->courses);
    pass->courses = malloc((pass->course_count + 1) * sizeof *pass->courses);
    if (pass->courses == NULL) {
        status = EH_NO_MEMORY;
    } else {
        memcpy(pass->courses, found, pass->course_count * sizeof *pass->courses);
    }
    eh_follower_free(follower);
    return status;
}

static int compare_ns(const void *a, const void *b) {
    const int64_t x = *(const int64_t *)a;
    const int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

enum { LOOKED_AT = 65 };

/* The median offset of the first matched strokes. */
static int64_t early_offset(const struct pass *pass) {
    int64_t offsets[LOOKED_AT];
    size_t n = 0;
    for (size_t i = 0; i < pass->plan->due_count && n < LOOKED_AT; i++) {
        if (pass->plan->due[i].main == i && pass->matches[i].hit != EH_NO_HIT) {
            offsets[n++] = pass->take->hits[pass->matches[i].hit].at_ns - pass->plan->due[i].at_ns;
        }
    }
    if (n == 0) {
        return 0;
    }
    qsort(offsets, n, sizeof *offsets, compare_ns);
    return offsets[n / 2];
}

static bool found(const struct pass *pass, size_t due) {
    return pass->matches[pass->plan->due[due].main].hit != EH_NO_HIT;
}

/* The offset to try next, or INT64_MIN: only a run that begins fast and lacks its first or its last
 * stroke can be one stroke out of step. */
static int64_t other_reading(const struct pass *pass) {
    const size_t last = pass->plan->due_count - 1;
    const int64_t spacing_ns = pass->plan->due[0].spacing_ns;
    const bool first_found = found(pass, 0);
    if (spacing_ns > fast_spacing_ns || first_found == found(pass, last)) {
        return INT64_MIN;
    }
    const int64_t offset_ns = early_offset(pass);
    const int64_t other_ns = first_found ? offset_ns - spacing_ns : offset_ns + spacing_ns;
    return llabs(other_ns) <= largest_offset_ns ? other_ns : INT64_MIN;
}

static enum eh_status room_for(struct pass *pass) {
    pass->matches = calloc(pass->plan->due_count, sizeof *pass->matches);
    pass->fates = calloc(pass->take->count, sizeof *pass->fates);
    return pass->matches == NULL || pass->fates == NULL ? EH_NO_MEMORY : EH_OK;
}

static void drop(struct pass *pass) {
    free(pass->matches);
    free(pass->fates);
    free(pass->courses);
}

enum eh_status eh_follow_take(const struct eh_plan *plan, const struct eh_take *take,
                              const struct eh_pad *pad, struct eh_match *matches,
                              struct eh_fate *fates, struct eh_course **courses,
                              size_t *course_count, double *out_cost) {
    struct pass first = {.plan = plan, .take = take, .pad = pad};
    struct pass second = first;
    struct pass *best = &first;
    enum eh_status status = room_for(&first);
    if (status == EH_OK) {
        status = follow(&first, 0, false);
    }
    const int64_t other_ns = status == EH_OK ? other_reading(&first) : INT64_MIN;
    if (other_ns != INT64_MIN) {
        status = room_for(&second);
        if (status == EH_OK) {
            status = follow(&second, other_ns, true);
        }
        best = second.cost < first.cost ? &second : &first;
    }
    if (status == EH_OK) {
        memcpy(matches, best->matches, plan->due_count * sizeof *matches);
        memcpy(fates, best->fates, take->count * sizeof *fates);
        *out_cost = best->cost;
        if (courses != NULL) {
            *courses = best->courses;
            *course_count = best->course_count;
            best->courses = NULL;
        }
    }
    drop(&first);
    drop(&second);
    return status;
}
