/* A made-up player for tests of the follower: plays a plan with known truth. It shares no code with
 * the program's own demo player. Invented data; the size of the scatter follows what is known of
 * professionals (see docs/measures.md). */
#ifndef TESTS_JUDGE_PLAYER_H
#define TESTS_JUDGE_PLAYER_H

#include "evenhand/follow.h"

struct player {
    uint64_t seed;
    double scatter_ms; /* standard deviation of a stroke */
    double wander_ms;  /* standard deviation of the slow part, reached over some seconds */
    double delay_ms;   /* constant */
    double drift;      /* 0.05: the tempo grows by 5 % from beginning to end */
    double missed, extra, echoed; /* shares of strokes */
    double swing_seconds;         /* second strokes late by this share of the gap */
    double grace_ms;              /* mean lead of a grace note; 0 = as due */
    int stop_bar, stop_bars;      /* plan bars (from 0) not played; bars = 0: none */
    int skip_bar;                 /* this plan bar is left out and the rest moves up; -1 none */
    int repeat_bar;               /* this plan bar is played twice; -1 none */
    int late_start;               /* main strokes left out at the beginning */
};

/* One note that was played, with what it was meant to be. */
struct played {
    struct eh_hit hit;
    int32_t due; /* EXTRA -1, ECHO -2 */
};

struct performance {
    struct eh_hit *hits;
    int32_t *truth; /* due index, -1 extra, -2 echo */
    size_t count;
};

enum { PLAYED_EXTRA = -1, PLAYED_ECHO = -2 };

struct player player_default(uint64_t seed);
void player_play(const struct player *player, const struct eh_plan *plan, struct performance *out);
void performance_free(struct performance *performance);

/* 2 * right / (found + true) over stroke-hit pairs; bounces are not counted. */
double performance_f(const struct performance *performance, const struct eh_plan *plan,
                     const struct eh_match *matches);

uint64_t random_next(uint64_t *state);
double random_unit(uint64_t *state);
double random_normal(uint64_t *state);

#endif
