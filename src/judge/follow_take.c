#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "follow_whole.h"
#include "start.h"

/* Following a whole take at once.
 *
 * Where strokes follow fast, "one stroke left out at the start" and "a constant offset of one
 * spacing" look alike until the end of the run shows a stroke too few or a hit too many. While the
 * player plays, nobody can wait for that; a whole take is followed again under the offset that the
 * other reading implies, and the cheaper reading counts. */
static const int64_t fast_spacing_ns = 160 * EH_NS_PER_MS;
static const int64_t largest_offset_ns = 130 * EH_NS_PER_MS;

static int compare_ns(const void *a, const void *b) {
    const int64_t x = *(const int64_t *)a;
    const int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

enum { LOOKED_AT = 65, FIRST_ONES = 9 };

/* The median offset of the first matched strokes, so MANY of them. */
static int64_t early_offset(const struct followed *f, const struct eh_plan *plan,
                            const struct eh_take *take, size_t many) {
    int64_t offsets[LOOKED_AT];
    size_t n = 0;
    for (size_t i = 0; i < plan->due_count && n < many; i++) {
        if (plan->due[i].main == i && f->matches[i].hit != EH_NO_HIT) {
            offsets[n++] = take->hits[f->matches[i].hit].at_ns - plan->due[i].at_ns;
        }
    }
    if (n == 0) {
        return 0;
    }
    qsort(offsets, n, sizeof *offsets, compare_ns);
    return offsets[n / 2];
}

static bool found(const struct followed *f, const struct eh_plan *plan, size_t due) {
    return f->matches[plan->due[due].main].hit != EH_NO_HIT;
}

/* The offset to try next, or INT64_MIN: only a run that begins fast and lacks its first or its last
 * stroke can be one stroke out of step. */
static int64_t other_reading(const struct followed *f, const struct eh_plan *plan,
                             const struct eh_take *take) {
    const int64_t spacing_ns = plan->due[0].spacing_ns;
    const bool first_found = found(f, plan, 0);
    if (spacing_ns > fast_spacing_ns || first_found == found(f, plan, plan->due_count - 1)) {
        return INT64_MIN;
    }
    const int64_t offset_ns = early_offset(f, plan, take, LOOKED_AT);
    const int64_t other_ns = first_found ? offset_ns - spacing_ns : offset_ns + spacing_ns;
    return llabs(other_ns) <= largest_offset_ns ? other_ns : INT64_MIN;
}

/* Follows under the other reading too, where there is one; the cheaper one and its hint stay. */
static enum eh_status read_otherwise(struct followed *first, struct follow_hint *hint,
                                     const struct eh_plan *plan, const struct eh_take *take,
                                     const struct eh_pad *pad) {
    const int64_t other_ns = other_reading(first, plan, take);
    if (other_ns == INT64_MIN) {
        return EH_OK;
    }
    struct followed second;
    const struct follow_hint other = {
        .offset_ns = other_ns, .offset_known = true, .straight = hint->straight};
    const enum eh_status status = follow_whole(&second, plan, take, pad, &other);
    if (status == EH_OK && second.cost < first->cost) {
        followed_deinit(first);
        *first = second;
        *hint = other;
    } else {
        followed_deinit(&second);
    }
    return status;
}

static enum eh_status read_written(struct followed *f, struct follow_hint *hint,
                                   const struct eh_plan *plan, const struct eh_take *take,
                                   const struct eh_pad *pad) {
    /* Other ways than the written one are looked for afterwards, over the whole take. */
    *hint = (struct follow_hint){.offset_ns = pad->delay_ns, .straight = plan->passes == 1};
    enum eh_status status = follow_whole(f, plan, take, pad, hint);
    if (status == EH_OK) {
        status = read_otherwise(f, hint, plan, take, pad);
    }
    if (status == EH_OK) {
        hint->early_ns = early_offset(f, plan, take, FIRST_ONES);
    }
    return status;
}

enum eh_status eh_follow_fit(const struct eh_plan *plan, const struct eh_take *take,
                             const struct eh_pad *pad, size_t *out_matched, double *out_cost) {
    struct followed f = {0};
    struct follow_hint hint;
    const enum eh_status status = read_written(&f, &hint, plan, take, pad);
    *out_matched = 0;
    *out_cost = f.cost;
    for (size_t i = 0; status == EH_OK && i < plan->due_count; i++) {
        *out_matched += f.matches[i].hit != EH_NO_HIT;
    }
    followed_deinit(&f);
    return status;
}

static size_t leaps_of(const struct followed *f) {
    size_t leaps = 0;
    for (size_t i = 0; i < f->course_count; i++) {
        leaps += f->courses[i].kind == EH_COURSE_SKIP || f->courses[i].kind == EH_COURSE_REPEAT;
    }
    return leaps;
}

enum eh_status eh_follow_take_agreeing(const struct eh_plan *plan, const struct eh_take *take,
                                       const struct eh_pad *pad, struct eh_match *matches,
                                       struct eh_fate *fates, struct eh_course **courses,
                                       size_t *course_count, double *out_cost,
                                       double *out_agreement) {
    struct followed f = {0};
    struct follow_hint hint;
    enum eh_status status = read_written(&f, &hint, plan, take, pad);
    if (status == EH_OK) {
        f.agreement = follow_agreement(&f, plan, take, pad, leaps_of(&f), 0);
        status = follow_along_way(&f, plan, take, pad, &hint);
    }
    if (status == EH_OK) {
        memcpy(matches, f.matches, plan->due_count * sizeof *matches);
        memcpy(fates, f.fates, take->count * sizeof *fates);
        *out_cost = f.cost;
        *out_agreement = f.agreement;
        if (courses != NULL) {
            *courses = f.courses;
            *course_count = f.course_count;
            f.courses = NULL;
        }
    }
    followed_deinit(&f);
    return status;
}

enum eh_status eh_follow_take(const struct eh_plan *plan, const struct eh_take *take,
                              const struct eh_pad *pad, struct eh_match *matches,
                              struct eh_fate *fates, struct eh_course **courses,
                              size_t *course_count, double *out_cost) {
    double agreement = 0.0;
    return eh_follow_take_agreeing(plan, take, pad, matches, fates, courses, course_count, out_cost,
                                   &agreement);
}
