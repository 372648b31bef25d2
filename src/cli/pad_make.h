/* Making a pad's note map by hitting it. */
#ifndef EVENHAND_CLI_PAD_MAKE_H
#define EVENHAND_CLI_PAD_MAKE_H

#include "pad_find.h"

struct pad_make_wish {
    const char *file;   /* where it goes; NULL: the history, for the port and the player */
    const char *port;   /* NULL: the only one */
    const char *player; /* NULL: nobody named */
    const char *db;
    bool controls; /* what means again, next and stop is asked for too */
};

/* Listens to the pad, asks for each of its parts, and writes the map. What else was known of the
 * pad stays. Returns CLI_GOOD, or CLI_FAILED after a complaint; nothing has changed then. */
int pad_make(const struct pad_make_wish *wish);

/* Keeps PAD in the history for the port of that name. Returns CLI_GOOD or, after a complaint,
 * CLI_FAILED. */
int pad_keep(const struct eh_pad *pad, const char *port, const char *player, const char *db);

#endif
