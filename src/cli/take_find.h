/* The take that was asked for: a Standard MIDI File or a stored run. */
#ifndef EVENHAND_CLI_TAKE_FIND_H
#define EVENHAND_CLI_TAKE_FIND_H

#include <stdbool.h>

#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/store.h"
#include "pad_find.h"

struct found_take {
    struct eh_take take; /* owned; the pad's hits only, at least one */
    struct eh_pad pad;
    bool stored;       /* it is a run of the history ... */
    struct eh_run run; /* ... and this is what is known of it; its take has moved to TAKE */
};

/* Finds and reads WANTED: "run:12" in the history that PAD names, else a file. Its pad is the one
 * that PAD asks for by file or port; else, for a run, the one it was judged by when it was played;
 * else the default. Returns CLI_GOOD, or after a complaint CLI_FAILED or CLI_USAGE ("run:" without
 * a number). */
int take_find(struct found_take *out, const char *wanted, const struct pad_wish *pad);

/* Loads a run of the history as it is stored, every hit of it. Returns CLI_GOOD or, after a
 * complaint, CLI_FAILED. Give it back with eh_run_deinit. */
int take_load_run(struct eh_run *out, int64_t number, const char *db);

/* Frees what it owns; an all-zero one is accepted. */
void take_deinit(struct found_take *found);

#endif
