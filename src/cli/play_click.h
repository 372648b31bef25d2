/* The click of a run: sound where there is some, and the beat for the terminal. */
#ifndef EVENHAND_CLI_PLAY_CLICK_H
#define EVENHAND_CLI_PLAY_CLICK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/click.h"
#include "evenhand/practice.h"
#include "evenhand/store.h"
#include "play_clock.h"
#include "play_options.h"

struct play_click {
    const struct eh_practice *practice;
    struct eh_click *audio; /* owned; NULL: no sound */
    bool gone;              /* its device went away: silent from then on */
    int64_t zero_ns;        /* the clock at the run's zero */
    size_t scheduled;       /* beats handed over to the sound */
    size_t shown;           /* beats shown */
};

/* Opens the sound if it is wanted. Says so on standard error when there is none, and goes on. */
void play_click_open(struct play_click *out, const struct eh_practice *practice,
                     const struct play_options *options);

/* Fixes the run's zero; the first click sounds shortly. */
void play_click_start(struct play_click *click, const struct play_clock *clock);

/* Hands over beats that are due soon and collects those that sounded: at most ROOM, relative to
 * the run's zero. Returns how many. Without sound there are none. */
size_t play_click_step(struct play_click *click, int64_t now_ns, struct eh_run_click *out_clicks,
                       size_t room);

/* The beat that is to be shown now, NULL when none has become due. Subdivisions are not shown. */
const struct eh_beat *play_click_beat(struct play_click *click, int64_t now_ns);

/* NULL while all is well; else what happened, once. */
const char *play_click_trouble(struct play_click *click);

/* No more clicks. */
void play_click_hush(struct play_click *click);

void play_click_close(struct play_click *click);

#endif
