#include "following.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

#include "exercises.h"
#include "start.h"

struct outcome follow(const struct eh_plan *plan, const struct performance *p, int how) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    struct outcome o = {.due_count = plan->due_count, .hit_count = p->count};
    o.matches = calloc(plan->due_count, sizeof *o.matches);
    o.fates = calloc(p->count + 1, sizeof *o.fates);
    const struct eh_follow_room room = {
        .hits = p->hits, .matches = o.matches, .fates = o.fates, .hit_capacity = p->count};
    struct eh_follower *f = NULL;
    cr_assert_eq(eh_follower_new(&f, plan, &pad, &room), EH_OK);
    for (size_t i = 0; i < p->count; i++) {
        if (how == WITH_TIME) {
            const int64_t from = i == 0 ? 0 : p->hits[i - 1].at_ns;
            for (int64_t t = from; t < p->hits[i].at_ns; t += 7 * EH_NS_PER_MS) {
                eh_follower_advance(f, t);
            }
        }
        cr_assert(eh_follower_feed(f, i));
    }
    if (how == WITH_TIME) {
        eh_follower_advance(f, plan->end_ns + 10 * EH_NS_PER_S);
    }
    eh_follower_finish(f);
    cr_assert_eq(eh_follower_settled_due(f), plan->due_count);
    cr_assert_eq(eh_follower_settled_hits(f), p->count);
    const struct eh_course *c = eh_follower_courses(f, &o.course_count);
    memcpy(o.courses, c, o.course_count * sizeof *c);
    eh_follower_free(f);
    return o;
}

struct outcome follow_whole_take(const struct eh_plan *plan, const struct performance *p) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    struct outcome o = {.due_count = plan->due_count, .hit_count = p->count};
    o.matches = calloc(plan->due_count, sizeof *o.matches);
    o.fates = calloc(p->count + 1, sizeof *o.fates);
    const struct eh_take take = {.hits = p->hits, .count = p->count};
    struct eh_course *courses = NULL;
    double cost = 0.0;
    cr_assert_eq(
        eh_follow_take(plan, &take, &pad, o.matches, o.fates, &courses, &o.course_count, &cost),
        EH_OK);
    cr_assert_leq(o.course_count, sizeof o.courses / sizeof o.courses[0]);
    if (o.course_count > 0) {
        memcpy(o.courses, courses, o.course_count * sizeof *courses);
    }
    free(courses);
    return o;
}

void drop(struct outcome *o) {
    free(o->matches);
    free(o->fates);
}

static void add_run(struct figure *figure, const struct eh_plan *plan,
                    const struct player *player) {
    struct performance p;
    player_play(player, plan, &p);
    struct outcome o = follow_whole_take(plan, &p);
    bool strayed = false;
    for (size_t i = 0; i < o.course_count; i++) {
        strayed =
            strayed || o.courses[i].kind == EH_COURSE_SKIP || o.courses[i].kind == EH_COURSE_REPEAT;
    }
    figure->sum += performance_f(&p, plan, o.matches);
    figure->music += performance_f_music(&p, plan, o.matches);
    figure->strayed += strayed;
    figure->runs++;
    drop(&o);
    performance_free(&p);
}

struct figure figure_along(struct player player, int seeds,
                           void (*lay)(struct player *player, const struct eh_plan *plan)) {
    static const double tempos[] = {50, 80, 120, 160, 180};
    struct figure figure = {0};
    for (int e = 0; shipped_exercises[e] != NULL; e++) {
        struct eh_exercise *exercise = read_exercise(shipped_exercises[e]);
        for (int t = 0; t < 5; t++) {
            struct eh_plan plan = plan_at(exercise, tempos[t], 2000.0, 1);
            for (int s = 0; s < seeds; s++) {
                struct player p = player;
                p.seed = (uint64_t)(s * 131 + t * 7 + 1);
                if (lay != NULL) {
                    lay(&p, &plan);
                }
                add_run(&figure, &plan, &p);
            }
            eh_plan_deinit(&plan);
        }
        eh_exercise_free(exercise);
    }
    return figure;
}

struct figure figure_of(struct player player, int seeds) {
    return figure_along(player, seeds, NULL);
}
