#include <math.h>
#include <stdlib.h>

#include "course.h"
#include "follow_internal.h"
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
                              .at_ns = g->plan->start_ns + llround(g->grid_ns[after->first_beat])};
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

/* How well a fragment of the way was played: the share of its strokes that were found, less what
 * was left over in it. */
static double worth(const struct course_laid *laid, const struct followed *along,
                    const struct eh_take *take, size_t bar, size_t *hit) {
    const struct eh_plan_bar *b = &laid->plan.bars[bar];
    int good = 0;
    for (size_t i = b->first_due; i < b->first_due + b->due_count; i++) {
        good += along->matches[i].hit != EH_NO_HIT ? 1 : -1;
    }
    for (; *hit < take->count && take->hits[*hit].at_ns < b->end_ns; (*hit)++) {
        good -= along->fates[*hit].kind == EH_FATE_EXTRA;
    }
    return b->due_count > 0 ? (double)good / (double)b->due_count : 0.0;
}

/* A fragment that is hardly recognised does not count when the same is played well later: a bar of
 * something else meets some strokes by chance. */
static const double poor_worth = 0.4;
static const double better_by = 0.4;

/* Takes over what was found of a main stroke of the way and its grace notes. */
static void take_figure(struct followed *f, const struct followed *along,
                        const struct course_laid *laid, uint32_t main) {
    const uint32_t graces = eh_plan_stroke(&laid->plan, main)->grace_count;
    for (uint32_t i = main - graces; i <= main; i++) {
        struct eh_match *match = &f->matches[laid->origin[i]];
        *match = along->matches[i];
        match->shift_ns = match->hit == EH_NO_HIT ? 0 : laid->moved_ns[i];
    }
}

/* The first time that a stroke is played counts; what is played again is extra. A main stroke and
 * its grace notes are of the same time. WORTHS by bar of the way; TAKEN by due: the worth of what
 * was taken, NAN while nothing was. */
static void take_matches(struct followed *f, const struct followed *along,
                         const struct course_laid *laid, const struct eh_plan *plan,
                         const double *worths, double *taken) {
    const struct eh_plan *way = &laid->plan;
    for (size_t i = 0; i < plan->due_count; i++) {
        f->matches[i] = (struct eh_match){.hit = EH_NO_HIT};
        taken[i] = NAN;
    }
    for (size_t k = 0; k < way->main_count; k++) {
        const uint32_t main = way->mains[k];
        const uint32_t due = laid->origin[main];
        const double w = worths[way->due[main].bar];
        const bool missing = f->matches[due].hit == EH_NO_HIT;
        const bool poor = taken[due] < poor_worth && w > taken[due] + better_by;
        if (along->matches[main].hit != EH_NO_HIT ? missing || poor : isnan(taken[due])) {
            take_figure(f, along, laid, main);
            taken[due] = w;
        }
    }
}

/* Whether a hit lies within the written plan and its margins. */
static bool inside(const struct eh_plan *plan, int64_t at_ns) {
    const struct follow_window window = follow_window_of(plan, 0);
    return at_ns >= window.open_ns && at_ns <= window.close_ns;
}

static void bring_fates_home(struct followed *f, const struct followed *along,
                             const struct course_laid *laid, const struct eh_plan *plan,
                             const struct eh_take *take) {
    for (size_t h = 0; h < take->count; h++) {
        struct eh_fate fate = along->fates[h];
        if (fate.kind == EH_FATE_STROKE || fate.kind == EH_FATE_BOUNCE) {
            const int32_t taken = along->matches[fate.due].hit;
            fate.due = laid->origin[fate.due];
            const bool kept = f->matches[fate.due].hit == taken;
            fate = kept ? fate : (struct eh_fate){.kind = EH_FATE_EXTRA};
        } else if (fate.kind == EH_FATE_OUTSIDE && inside(plan, take->hits[h].at_ns)) {
            fate.kind = EH_FATE_EXTRA; /* before or after the way, not the exercise */
        }
        f->fates[h] = fate;
    }
}

static bool bring_home(struct followed *f, const struct followed *along,
                       const struct course_laid *laid, const struct eh_plan *plan,
                       const struct eh_take *take) {
    double *room = calloc(laid->plan.bar_count + plan->due_count + 1, sizeof *room);
    if (room == NULL) {
        return false;
    }
    size_t hit = 0;
    for (size_t bar = 0; bar < laid->plan.bar_count; bar++) {
        room[bar] = worth(laid, along, take, bar, &hit);
    }
    take_matches(f, along, laid, plan, room, room + laid->plan.bar_count);
    bring_fates_home(f, along, laid, plan, take);
    free(room);
    return true;
}

static uint32_t leap_from(const struct course_stretch *stretch) {
    return stretch->first_cell + stretch->count;
}

static size_t different_leaps(const struct course_way *way) {
    size_t different = 0;
    for (size_t i = 1; i < way->count; i++) {
        const uint32_t from = leap_from(&way->stretches[i - 1]);
        const uint32_t to = way->stretches[i].first_cell;
        size_t k = 1;
        while (k < i &&
               (leap_from(&way->stretches[k - 1]) != from || way->stretches[k].first_cell != to)) {
            k++;
        }
        different += k == i && from != to;
    }
    return different;
}

/* A plan laid on the player's own clock forgives slow shifts that the written one counts; where
 * that is all the difference, it must be cheaper by this much. */
static const double own_clock_cost = 12.0;

/* Hits within the written plan but before or after the way. */
static size_t hits_aside(const struct followed *along, const struct eh_plan *plan,
                         const struct eh_take *take) {
    size_t hits = 0;
    for (size_t h = 0; h < take->count; h++) {
        hits += along->fates[h].kind == EH_FATE_OUTSIDE && inside(plan, take->hits[h].at_ns);
    }
    return hits;
}

/* What a way leaves aside: those hits, and strokes that it never comes to. */
static double aside_cost(const struct course_ground *g, const struct course_way *way, size_t hits) {
    uint32_t furthest = 0;
    for (size_t i = 0; i < way->count; i++) {
        const uint32_t end = leap_from(&way->stretches[i]);
        furthest = end > furthest ? end : furthest;
    }
    const size_t left =
        furthest < g->cell_count ? g->main_count - g->cells[furthest].first_main : 0;
    return follow_extra_cost((int32_t)hits) + follow_missed_cost((int32_t)left);
}

/* A way, the plan that is laid along it, and what was found when that was followed. */
struct trial {
    struct course_laid laid;
    struct followed along;
    size_t aside;
};

static void trial_deinit(struct trial *t) {
    followed_deinit(&t->along);
    course_laid_deinit(&t->laid);
}

static enum eh_status try_way(struct trial *t, const struct course_ground *g,
                              const struct course_way *way, const struct eh_take *take,
                              const struct eh_pad *pad) {
    const struct follow_hint straight = {.straight = true};
    *t = (struct trial){0};
    enum eh_status status = course_lay(&t->laid, g, way);
    if (status == EH_OK && t->laid.plan.due_count > 0) {
        status = follow_whole(&t->along, &t->laid.plan, take, pad, &straight);
    }
    if (status != EH_OK || t->laid.plan.due_count == 0) {
        t->along.cost = INFINITY;
        return status;
    }
    t->aside = hits_aside(&t->along, g->plan, take);
    t->along.cost += way->count == 1 ? own_clock_cost : leap_cost * (double)(way->count - 1);
    t->along.cost += aside_cost(g, way, t->aside);
    return EH_OK;
}

/* Of the whole bars of stretches S - 1 and S that are as long as BACK cells, the one that was
 * played worst: the beat after its end, or -1 where none was played poorly. */
static int64_t end_of_poor_bar(const struct trial *t, const struct course_ground *g,
                               const struct course_way *way, const struct eh_take *take, size_t s,
                               uint32_t back) {
    int64_t end = -1;
    double least = poor_worth;
    size_t bar = 0;
    size_t hit = 0;
    for (size_t i = 0; i <= s; i++) {
        const struct course_stretch *stretch = &way->stretches[i];
        for (uint32_t k = 0; k < stretch->count;) {
            const struct course_cell *cells = &g->cells[stretch->first_cell + k];
            uint32_t length = 1;
            while (k + length < stretch->count && !cells[length].bar_line) {
                length++;
            }
            const double w = worth(&t->laid, &t->along, take, bar++, &hit);
            if (i + 1 >= s && cells[0].bar_line && length == back && w < least) {
                least = w;
                end = (int64_t)stretch->first_beat + k + length;
            }
            k += length;
        }
    }
    return end;
}

/* Where bars are alike any of them may be the one that was played again. When something else was
 * played for a bar, it is that bar: the leap is moved there where it costs no more. */
static const double tie_cost = 1.0;

static enum eh_status slide_leap(struct trial *best, const struct course_ground *g,
                                 struct course_way *way, const struct eh_take *take,
                                 const struct eh_pad *pad, size_t s) {
    struct course_stretch *before = &way->stretches[s - 1];
    struct course_stretch *after = &way->stretches[s];
    const struct course_stretch kept[2] = {*before, *after};
    const int64_t at = after->first_beat;
    if (before->first_beat + before->count != at || leap_from(before) <= after->first_cell) {
        return EH_OK;
    }
    const int64_t end =
        end_of_poor_bar(best, g, way, take, s, leap_from(before) - after->first_cell);
    const int64_t by = end - at;
    const int64_t cell = (int64_t)after->first_cell + by;
    if (end < 0 || by == 0 || end <= before->first_beat || by >= after->count || cell < 0) {
        return EH_OK;
    }
    before->count = (uint32_t)(before->count + by);
    after->first_beat = (uint32_t)end;
    after->first_cell = (uint32_t)cell;
    after->count = (uint32_t)(after->count - by);
    struct trial moved;
    const enum eh_status status = try_way(&moved, g, way, take, pad);
    if (status == EH_OK && moved.along.cost < best->along.cost + tie_cost) {
        const struct trial swap = *best;
        *best = moved;
        moved = swap;
    } else {
        *before = kept[0];
        *after = kept[1];
    }
    trial_deinit(&moved);
    return status;
}

static enum eh_status adopt(struct followed *followed, const struct trial *t,
                            const struct course_ground *g, const struct course_way *way,
                            const struct eh_take *take, const struct eh_pad *pad) {
    struct followed home = *followed;
    home.courses = NULL;
    home.course_count = 0;
    if (!join_courses(&home, &t->along, g, way, &t->laid) ||
        !bring_home(&home, &t->along, &t->laid, g->plan, take)) {
        free(home.courses);
        return EH_NO_MEMORY;
    }
    free(followed->courses);
    home.cost = t->along.cost;
    home.agreement =
        follow_agreement(&t->along, &t->laid.plan, take, pad, different_leaps(way), t->aside);
    *followed = home;
    return EH_OK;
}

static void swap_ways(struct course_way *a, struct course_way *b) {
    const struct course_way swap = *a;
    *a = *b;
    *b = swap;
}

/* Tries the way with one move BY beats; the cheaper trial and its way stay. */
static enum eh_status try_move(struct trial *best, struct course_way *best_way,
                               const struct course_ground *g, const struct course_way *way,
                               int64_t by, bool waited, const struct eh_take *take,
                               const struct eh_pad *pad) {
    struct course_way moved = {0};
    struct trial t = {0};
    enum eh_status status = course_shift_find(&moved, g, way, by, waited);
    if (status == EH_OK && moved.count > 0) {
        status = try_way(&t, g, &moved, take, pad);
        if (status == EH_OK && t.along.cost < best->along.cost) {
            const struct trial swap = *best;
            *best = t;
            t = swap;
            swap_ways(best_way, &moved);
        }
    }
    trial_deinit(&t);
    course_way_deinit(&moved);
    return status;
}

/* Beats of the bar that a cell is in. */
static int64_t bar_length(const struct course_ground *g, size_t cell) {
    size_t from = cell;
    size_t to = cell + 1;
    while (from > 0 && !g->cells[from].bar_line) {
        from--;
    }
    while (to < g->cell_count && !g->cells[to].bar_line) {
        to++;
    }
    return (int64_t)(to - from);
}

/* Instead of the way: one move, by whole bars, that comes out where the way does. */
static enum eh_status try_moves(struct trial *best, struct course_way *way,
                                const struct course_ground *g, const struct eh_take *take,
                                const struct eh_pad *pad) {
    const struct course_stretch *first = &way->stretches[0];
    const struct course_stretch *last = &way->stretches[way->count - 1];
    const int64_t by = (int64_t)last->first_beat - last->first_cell;
    if (way->count < 2 || first->first_beat != 0 || first->first_cell != 0 || by == 0) {
        return EH_OK;
    }
    const int64_t bar = bar_length(g, last->first_cell);
    const int64_t bars = (by >= 0 ? by : by - bar + 1) / bar;
    struct course_way found = {0};
    enum eh_status status = EH_OK;
    for (int64_t k = bars; k <= bars + (by % bar != 0) && status == EH_OK; k++) {
        if (k != 0) {
            status = try_move(best, &found, g, way, k * bar, false, take, pad);
        }
        if (k > 0 && status == EH_OK) {
            status = try_move(best, &found, g, way, k * bar, true, take, pad);
        }
    }
    if (found.count > 0) {
        swap_ways(way, &found);
    }
    course_way_deinit(&found);
    return status;
}

static enum eh_status follow_laid(struct followed *followed, const struct course_ground *g,
                                  struct course_way *way, const struct eh_take *take,
                                  const struct eh_pad *pad) {
    struct trial best;
    enum eh_status status = try_way(&best, g, way, take, pad);
    if (status == EH_OK) {
        status = try_moves(&best, way, g, take, pad);
    }
    const bool cheaper = status == EH_OK && best.along.cost < followed->cost;
    for (size_t s = 1; cheaper && status == EH_OK && s < way->count; s++) {
        status = slide_leap(&best, g, way, take, pad, s);
    }
    if (cheaper && status == EH_OK) {
        status = adopt(followed, &best, g, way, take, pad);
    }
    trial_deinit(&best);
    return status;
}

/* A larger offset at the beginning is less likely. */
static const double early_unit_ns = 45e6;

static double way_cost(const struct course_way *way, double place_ns) {
    const double unit = place_ns / early_unit_ns;
    return way->cost + 0.5 * unit * unit;
}

/* The way for the offset at the beginning that was first found; in a fast row it may be one stroke
 * out, so the next one nearer to the click is tried too. */
static enum eh_status find_way(struct course_way *way, struct course_ground *g, double early_ns) {
    static const double fast_spacing_ns = 160e6;
    const double spacing_ns = (double)g->plan->due[g->mains[0].due].spacing_ns;
    const double nearer_ns = early_ns < 0.0 ? early_ns + spacing_ns : early_ns - spacing_ns;
    g->place_ns = early_ns;
    enum eh_status status = course_way_find(way, g);
    if (status != EH_OK || spacing_ns > fast_spacing_ns || fabs(nearer_ns) > fabs(early_ns)) {
        return status;
    }
    struct course_way other = {0};
    g->place_ns = nearer_ns;
    status = course_way_find(&other, g);
    if (status == EH_OK && way_cost(&other, nearer_ns) < way_cost(way, early_ns)) {
        const struct course_way swap = *way;
        *way = other;
        other = swap;
    }
    course_way_deinit(&other);
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
        status = find_way(&way, &ground, (double)hint->early_ns);
    }
    if (status == EH_OK && way.count > 0) {
        status = follow_laid(followed, &ground, &way, take, pad);
    }
    course_way_deinit(&way);
    course_ground_deinit(&ground);
    return status;
}
