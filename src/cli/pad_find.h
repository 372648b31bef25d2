/* The pad that was asked for: a file, the one kept for a port and a player, or the default. */
#ifndef EVENHAND_CLI_PAD_FIND_H
#define EVENHAND_CLI_PAD_FIND_H

#include <stdbool.h>

#include "evenhand/pad.h"
#include "options.h"

struct pad_wish {
    const char *file;   /* --pad; NULL: not given */
    const char *port;   /* NULL: no port, so that only a file or the default comes into question */
    const char *player; /* --player; NULL: nobody named */
    const char *db;     /* --db; NULL: the user's history */
    bool must;          /* a kept pad is wanted, PORT (NULL: any) may be a part of its name: that
                           none is kept is a failure, not the default pad */
};

/* Finds and reads it. Another player's pad of the port is named on standard error, not used. A
 * history that cannot be read is complained about, and the default pad is taken, unless WISH->must.
 * Returns CLI_GOOD, or CLI_FAILED after a complaint. */
int pad_find(struct eh_pad *out, const struct pad_wish *wish);

/* Reads a pad from a text; WHERE names it in complaints. */
int pad_from_text(struct eh_pad *out, const char *where, const char *text, size_t length);

/* The two options, for the table of a command. */
#define OPTION_ROW_PAD(TARGET)                                                                     \
    OPTION_ROW_TEXT("pad", "FILE", "the pad as this file describes it (docs/pads.md)", TARGET)
#define OPTION_ROW_PLAYER(TARGET)                                                                  \
    OPTION_ROW_TEXT("player", "NAME", "who plays: pads and runs are kept for each", TARGET)

/* Complains about a --player that cannot be a name (empty, too long, control characters) and
 * returns false; NULL is fine. */
bool pad_player_fits(const struct command_usage *usage, const char *player);

#endif
