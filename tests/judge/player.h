/* A made-up player for tests of the follower: plays a plan with known truth. It shares no code with
 * the program's own demo player. Invented data; the size of the scatter follows what is known of
 * professionals (see docs/measures.md). */
#ifndef TESTS_JUDGE_PLAYER_H
#define TESTS_JUDGE_PLAYER_H

#include "evenhand/follow.h"

/* One bar of the way that a player takes through a plan: a plan bar (from 0), or nothing for its
 * length, or music of the player's own; of a plan bar the first SHARE only, if that is below 1. */
enum { WAY_SILENT = -1, WAY_OTHER = -2, WAY_MOST = 64 };

struct way_step {
    int bar;
    double share;
};

struct player {
    uint64_t seed;
    double scatter_ms; /* standard deviation of a stroke */
    double wander_ms;  /* standard deviation of the slow part, reached over some seconds */
    double delay_ms;   /* constant */
    double drift;      /* 0.05: the tempo grows by 5 % from beginning to end */
    double missed, extra, echoed; /* shares of strokes */
    double swing_seconds;         /* second strokes late by this share of the gap */
    double wide_ms; /* from note to note in figures with grace notes of right main strokes; 0: as
                       due */
    int stop_bar, stop_bars;       /* plan bars (from 0) not played; bars = 0: none */
    int skip_bar;                  /* this plan bar is left out and the rest moves up; -1 none */
    int repeat_bar;                /* this plan bar is played twice; -1 none */
    int late_start;                /* main strokes left out at the beginning */
    int hand_lost_bar;             /* in this plan bar the left hand plays nothing; -1 none */
    struct way_step way[WAY_MOST]; /* the bars in the order played, if way_count is not 0: then */
    int way_count;                 /* stop, skip and repeat above count for nothing */
};

/* One note that was played, with what it was meant to be. */
struct played {
    struct eh_hit hit;
    int32_t due;   /* EXTRA -1, ECHO -2 */
    int32_t music; /* DUE, also where it was played before */
};

struct performance {
    struct eh_hit *hits;
    int32_t *truth; /* due index, -1 extra, -2 echo */
    int32_t *music; /* the due index that was played, the second time too; else as TRUTH */
    size_t count;
};

enum { PLAYED_EXTRA = -1, PLAYED_ECHO = -2 };

struct player player_default(uint64_t seed);
void player_play(const struct player *player, const struct eh_plan *plan, struct performance *out);
void performance_free(struct performance *performance);

/* 2 * right / (found + true) over stroke-hit pairs; bounces are not counted. */
double performance_f(const struct performance *performance, const struct eh_plan *plan,
                     const struct eh_match *matches);

/* The same, but a hit may stand for the same stroke of any bar that is the same note for note:
 * where bars are alike nobody can tell which one was left out or played twice. */
double performance_f_music(const struct performance *performance, const struct eh_plan *plan,
                           const struct eh_match *matches);

uint64_t random_next(uint64_t *state);
double random_unit(uint64_t *state);
double random_normal(uint64_t *state);

#endif
