/* The columns that a whole run and a line of the list have in common. */
#ifndef EVENHAND_HISTORY_RUN_COLUMNS_H
#define EVENHAND_HISTORY_RUN_COLUMNS_H

#include "store_parts.h"

/* The first column after them in Q_RUN_GET and Q_RUN_LIST. */
enum { EH_RUN_COLUMNS = 27 };

/* Reads the row on which QUERY stands; all but ROW->hits. Texts go to POOL. */
EH_MUST_USE enum eh_status eh_run_columns_read(struct eh_store *store, struct eh_query *query,
                                               struct eh_pool **pool, struct eh_run_row *out_row);

/* A whole column's text, in POOL. */
EH_MUST_USE enum eh_status eh_run_column_text(struct eh_store *store, struct eh_query *query,
                                              int column, struct eh_pool **pool,
                                              const char **out_text);

/* A value between LEAST and MOST; else *BAD is set and LEAST returned. The file's own rules see to
 * that, unless it is damaged. */
int64_t eh_run_column_within(struct eh_query *query, int column, int64_t least, int64_t most,
                             bool *bad);

enum eh_status eh_run_damaged(struct eh_store *store, int64_t run, const char *what);

#endif
