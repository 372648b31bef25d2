/* A row of the pads. */
#ifndef EVENHAND_HISTORY_PAD_ROWS_H
#define EVENHAND_HISTORY_PAD_ROWS_H

#include "store_parts.h"

/* Reads the row on which QUERY (Q_PAD_GET, Q_PAD_LIST) stands. Texts go to POOL. */
EH_MUST_USE enum eh_status eh_pad_row_read(struct eh_store *store, struct eh_query *query,
                                           struct eh_pool **pool, struct eh_store_pad *out_pad);

#endif
