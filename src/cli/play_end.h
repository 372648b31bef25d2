/* The end of a run: the judgement of the whole of it, kept and said. */
#ifndef EVENHAND_CLI_PLAY_END_H
#define EVENHAND_CLI_PLAY_END_H

#include "evenhand/pulse.h"
#include "evenhand/text.h"
#include "play_run.h"

struct play_ended {
    enum eh_practice_end end;
    enum play_wish wish;
    bool judged;                    /* else the rest is empty */
    struct eh_judgement *judgement; /* owned */
    struct eh_pulse pulse;          /* owned; no stretches: no bar was silent */
    struct eh_text json;            /* owned; its document */
};

/* Ends the run: keeps what was played and how it ended, judges it and keeps the judgement. What
 * went wrong is said on standard error. Returns what the program leaves with. */
int play_end(struct play_run *run, struct play_ended *out);

/* The whole report, or the document where that was asked for. */
void play_end_print(const struct play_run *run, const struct play_ended *ended);

/* Under which number the run was kept; nothing where it was not. */
void play_end_say_kept(const struct play_run *run);

void play_ended_deinit(struct play_ended *ended);

#endif
