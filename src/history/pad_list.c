#include <stdlib.h>

#include "pad_rows.h"
#include "run_columns.h"

enum { C_PORT, C_PLAYER, C_MADE, C_TEXT };

enum eh_status eh_pad_row_read(struct eh_store *store, struct eh_query *query,
                               struct eh_pool **pool, struct eh_store_pad *out_pad) {
    *out_pad = (struct eh_store_pad){.made_utc_s = eh_column_int(query, C_MADE)};
    const struct {
        int column;
        const char **text;
    } texts[] = {{C_PORT, &out_pad->port}, {C_PLAYER, &out_pad->player}, {C_TEXT, &out_pad->text}};
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0] && status == EH_OK; i++) {
        status = eh_run_column_text(store, query, texts[i].column, pool, texts[i].text);
    }
    return status;
}

static enum eh_status add_pad(struct eh_store *store, struct eh_query *query,
                              struct eh_store_pad_list *list, struct eh_pool **pool) {
    struct eh_store_pad *grown =
        realloc(list->pads, (list->count + 1) * sizeof *grown); /* a handful of pads */
    if (grown == NULL) {
        return eh_fail(eh_db_error(store->db), EH_NO_MEMORY, "out of memory");
    }
    list->pads = grown;
    const enum eh_status status = eh_pad_row_read(store, query, pool, &grown[list->count]);
    list->count += status == EH_OK ? 1 : 0;
    return status;
}

static enum eh_status list_all(struct eh_store *store, struct eh_store_pad_list *list) {
    struct eh_pool *pool = NULL;
    struct eh_query *query = eh_db_query(store->db, Q_PAD_LIST);
    bool row = false;
    enum eh_status status = eh_query_step(query, &row);
    while (status == EH_OK && row) {
        status = add_pad(store, query, list, &pool);
        if (status == EH_OK) {
            status = eh_query_step(query, &row);
        }
    }
    eh_query_rest(query);
    list->memory = pool;
    return status;
}

enum eh_status eh_store_pads(struct eh_store *store, struct eh_store_pad_list *out_list,
                             struct eh_error *error) {
    *out_list = (struct eh_store_pad_list){0};
    enum eh_status status = eh_db_begin_read(store->db);
    if (status == EH_OK) {
        status = eh_db_finish(store->db, list_all(store, out_list));
    }
    if (status != EH_OK) {
        eh_store_pad_list_deinit(out_list);
    }
    return eh_store_tell(store, status, error);
}

void eh_store_pad_list_deinit(struct eh_store_pad_list *list) {
    free(list->pads);
    eh_pool_free(list->memory);
    *list = (struct eh_store_pad_list){0};
}
