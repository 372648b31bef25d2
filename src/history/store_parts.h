/* What the files of the store share: the store itself, its statements, its memory. */
#ifndef EVENHAND_HISTORY_STORE_PARTS_H
#define EVENHAND_HISTORY_STORE_PARTS_H

#include "db.h"
#include "evenhand/store.h"
#include "schema.h"

enum eh_store_query {
    Q_RUN_ADD,
    Q_RUN_END,
    Q_RUN_DELETE,
    Q_RUN_EXISTS,
    Q_RUN_NUMBERS,
    Q_RUN_GET,
    Q_RUN_LIST,
    Q_SHEET_ADD,
    Q_SHEET_FIND,
    Q_SHEET_SWEEP,
    Q_METRE_ADD,
    Q_METRE_GET,
    Q_CLICK_ADD,
    Q_CLICK_GET,
    Q_CLICK_NEXT,
    Q_HIT_ADD,
    Q_HIT_GET,
    Q_HIT_NEXT,
    Q_VERDICT_SET,
    Q_PAD_SET,
    Q_PAD_GET,
    Q_PAD_PLAYERS,
    Q_PAD_LIST,
    Q_PAD_DELETE,
    Q_SITTING_ADD,
    Q_SITTING_EXISTS,
    Q_SITTING_LIST,
    Q_KEPT_SET,
    Q_KEPT_GET,
    Q_CHECK,
    Q_CHECK_KEYS,
    Q_COPY,
    Q_COUNT
};

extern const char *const eh_store_sql[Q_COUNT];

struct eh_store {
    struct eh_db *db;
    enum eh_store_mode mode;
    /* The run that is being written and how much of it is known to be stored. */
    int64_t run;
    int64_t hits;
    int64_t clicks;
};

/* As eh_store_open, for a given schema. */
EH_MUST_USE enum eh_status eh_store_open_schema(struct eh_store **out_store, const char *path,
                                                enum eh_store_mode mode,
                                                const struct eh_schema *schema,
                                                struct eh_error *error);

/* Begins a write, unless the store was opened for reading. */
EH_MUST_USE enum eh_status eh_store_begin_write(struct eh_store *store, int wait_ms);

/* Hands the store's last failure on to ERROR (NULL is accepted); returns STATUS. */
enum eh_status eh_store_tell(struct eh_store *store, enum eh_status status, struct eh_error *error);

/* EH_OK when RUN exists, else EH_NOT_FOUND, saying which do. Inside a transaction. */
EH_MUST_USE enum eh_status eh_store_require_run(struct eh_store *store, int64_t run);

/* EH_OK when the sitting exists, else EH_NOT_FOUND. Inside a transaction. */
EH_MUST_USE enum eh_status eh_store_require_sitting(struct eh_store *store, int64_t sitting);

/* Memory that is given back at once. The pool itself is the first block; NULL is an empty pool. */
struct eh_pool;
EH_MUST_USE void *eh_pool_take(struct eh_pool **pool, size_t size);
EH_MUST_USE const char *eh_pool_text(struct eh_pool **pool, const char *text);
void eh_pool_free(struct eh_pool *pool);

/* False when WORD is none of the words. */
EH_MUST_USE bool eh_run_source_read(const char *word, enum eh_run_source *out_source);
EH_MUST_USE bool eh_run_ended_read(const char *word, enum eh_run_ended *out_ended);

/* Limits within which a click's map is computed without overflow; a hundred days of ticks, seventy
 * years of nanoseconds, a quarter note from 1 us to a minute. */
#define EH_CLICK_TICKS_MAX (INT64_C(1) << 36)
#define EH_CLICK_NS_MAX (INT64_C(1) << 61)
#define EH_STORE_BPM_MIN 1.0
#define EH_STORE_BPM_MAX 6.0e7

#endif
