/* What the history holds for a plan of the day: the latest runs, judged again. */
#ifndef EVENHAND_CLI_TODAY_HISTORY_H
#define EVENHAND_CLI_TODAY_HISTORY_H

#include "evenhand/agenda.h"
#include "evenhand/report_today.h"
#include "exercise_find.h"
#include "play_options.h"
#include "rejudge.h"

/* So many runs, days, and passes of the same bars at the same tempo on one day: the latest. */
enum { TODAY_RUNS_MOST = 400, TODAY_DAYS_MOST = 60, TODAY_PASSES_MOST = 4 };

/* An exercise in a style, as it was played last. */
struct today_piece {
    struct found_exercise exercise; /* owned */
    struct eh_style style;
};

struct today_history {
    struct rejudged *judged;    /* owned; newest first */
    struct eh_agenda_run *runs; /* owned; of these */
    size_t run_count;
    struct today_piece *pieces;            /* owned */
    struct eh_agenda_piece *agenda_pieces; /* owned; of these */
    struct eh_today_piece *said;           /* owned; likewise */
    size_t piece_count, piece_room;
    int32_t warm_ups[EH_WARM_UP_COUNT];
    int64_t today;
    bool any;         /* there are runs of this player's */
    int64_t last_day; /* ANY: of the latest one */
};

/* Reads the runs of whoever plays by OPTIONS: the demo player's where it plays, else those of the
 * named player at a pad; in the style that was asked for, if one was. Left out are runs that lost
 * hits, bare hand motions, runs with silent bars, and runs of an exercise that was written
 * differently then. Returns CLI_GOOD (also where there is none), or CLI_FAILED after a complaint.
 */
int today_history_read(struct today_history *out, const struct play_options *options);

/* Complains about a history without runs to plan from, and says what to do instead; returns
 * CLI_FAILED. */
int today_history_complain(const struct today_history *history, const struct play_options *options);

/* Frees what it owns; an all-zero one is accepted. */
void today_history_deinit(struct today_history *history);

#endif
