/* Following a made-up performance, for the tests of the follower. */
#ifndef TESTS_JUDGE_FOLLOWING_H
#define TESTS_JUDGE_FOLLOWING_H

#include "player.h"

struct outcome {
    struct eh_match *matches;
    struct eh_fate *fates;
    struct eh_course courses[64];
    size_t course_count;
    size_t due_count, hit_count;
};

enum { AT_ONCE, WITH_TIME };

/* Feeds all hits; WITH_TIME says between them, and after, that time passes. */
struct outcome follow(const struct eh_plan *plan, const struct performance *p, int how);

/* The whole take at once, as a run is judged. */
struct outcome follow_whole_take(const struct eh_plan *plan, const struct performance *p);
void drop(struct outcome *o);

/* F over the eight exercises, 50 to 180 to the quarter. 1.0 would be every stroke found. MUSIC: up
 * to bars that are the same note for note. */
struct figure {
    double sum, music;
    int runs;
    int strayed; /* runs in which a skip or a repeat was told */
};

struct figure figure_of(struct player player, int seeds);

/* The same for a way through the plan that changes with the seed: LAY fills in the player's way. */
struct figure figure_along(struct player player, int seeds,
                           void (*lay)(struct player *player, const struct eh_plan *plan));

#endif
