/* One run, from the first click of the count-in to its end. */
#ifndef EVENHAND_CLI_PLAY_RUN_H
#define EVENHAND_CLI_PLAY_RUN_H

#include "evenhand/control.h"
#include "evenhand/judgement.h"
#include "play_click.h"
#include "play_clock.h"
#include "play_keep.h"
#include "play_screen.h"
#include "play_source.h"
#include "play_wish.h"

struct play_run {
    struct play_terms terms;
    struct eh_practice *practice;
    struct play_source *source;
    struct play_click *click;
    struct play_keep *keep;
    struct play_screen *screen;
    struct play_clock clock;
    struct eh_follower *follower;       /* owned; with a click */
    struct eh_free_follower *own_tempo; /* owned; without one */
    struct eh_free_place place;         /* likewise: the latest */
    bool open;                          /* the run's zero is fixed; uncounted: by its first hit */
    int64_t began_ns, source_zero_ns;   /* on the clock; the demo player's zero */
    size_t shown;                       /* the line that is drawn over: its hits + 1; 0: none yet */
    bool uneven_told;
    struct eh_hit *hits; /* the pad's own, as the follower wants them */
    struct eh_match *matches;
    struct eh_fate *fates;
    size_t hit_count;
    int64_t last_ns; /* of the last hit */
    enum play_wish wish;
    struct eh_control_watch control;

    /* How far the sound has fallen behind its schedule: after a gap in the sound all later clicks
     * are late, and the player with them. */
    int64_t lags[EH_CLICK_WINDOW];
    size_t lag_count;
    int64_t lag_ns;      /* the middle one of the latest */
    int64_t followed_ns; /* the last hit's time as the follower has it */
};

/* Allocates what the run needs. Returns CLI_GOOD, or CLI_FAILED after a complaint. */
int play_run_prepare(struct play_run *run);

/* Plays it. Never fails: what goes wrong ends the run or is said. */
void play_run_play(struct play_run *run);

/* A look at the clock of a run without a click: ends it where the player's tempo says so. */
void play_free_step(struct play_run *run, int64_t now_ns);

void play_run_deinit(struct play_run *run);

#endif
