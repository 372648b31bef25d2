/* Choosing among the pads that are kept in the history. */
#ifndef EVENHAND_CLI_PAD_KEPT_H
#define EVENHAND_CLI_PAD_KEPT_H

#include "evenhand/store.h"

/* The pad kept for exactly this port (by its key) and player (NULL: nobody named); NULL: none. */
const struct eh_store_pad *pad_kept_of(const struct eh_store_pad_list *list, const char *port,
                                       const char *player);

/* Says on standard error whose pads are kept for the port, when KEPT is NULL and there are any. */
void pad_kept_name_others(const struct eh_store_pad_list *list, const char *port,
                          const struct eh_store_pad *kept);

/* The one that is meant by PORT, its name or a part of it (NULL: any, if there is only one), and
 * PLAYER (NULL: nobody named, or else the only one there is for the port). Returns CLI_GOOD, or
 * CLI_FAILED after a complaint that says which there are. */
int pad_kept_choose(const struct eh_store_pad_list *list, const char *port, const char *player,
                    const struct eh_store_pad **out_pad);

#endif
