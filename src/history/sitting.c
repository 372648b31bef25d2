#include <stdlib.h>

#include "run_columns.h"

enum { C_NUMBER, C_BEGUN, C_OFFSET, C_KIND, C_PLAYER, C_EXERCISE, C_ASKED };

enum eh_status eh_store_require_sitting(struct eh_store *store, int64_t sitting) {
    struct eh_query *query = eh_db_query(store->db, Q_SITTING_EXISTS);
    eh_query_int(query, 1, sitting);
    bool row = false;
    const enum eh_status status = eh_query_step(query, &row);
    eh_query_rest(query);
    return status == EH_OK && !row ? eh_fail(eh_db_error(store->db), EH_NOT_FOUND,
                                             "there is no sitting %lld", (long long)sitting)
                                   : status;
}

enum eh_status eh_store_sitting_begin(struct eh_store *store,
                                      const struct eh_store_sitting *sitting, int64_t *out_number) {
    *out_number = 0;
    if (sitting->utc_offset_s < -86400 || sitting->utc_offset_s > 86400) {
        return eh_fail(eh_db_error(store->db), EH_OUT_OF_RANGE,
                       "the sitting cannot be stored: its time zone makes no sense");
    }
    enum eh_status status = eh_store_begin_write(store, EH_DB_PATIENT_MS);
    if (status != EH_OK) {
        return status;
    }
    struct eh_query *query = eh_db_query(store->db, Q_SITTING_ADD);
    eh_query_text(query, 1, sitting->kind);
    eh_query_int(query, 2, sitting->begun_utc_s);
    eh_query_int(query, 3, sitting->utc_offset_s);
    eh_query_text(query, 4, sitting->player);
    eh_query_text(query, 5, sitting->exercise);
    eh_query_text(query, 6, sitting->asked);
    status = eh_query_run(query, NULL);
    const int64_t number = eh_db_last_row(store->db);
    status = eh_db_finish(store->db, status);
    *out_number = status == EH_OK ? number : 0;
    return status;
}

/* Sittings while they are read. */
struct listing {
    struct eh_store *store;
    struct eh_pool *pool;
    struct eh_sitting_list list;
    size_t capacity;
};

static enum eh_status read_row(struct listing *l, struct eh_query *query,
                               struct eh_store_sitting *out) {
    bool bad = false;
    *out = (struct eh_store_sitting){
        .number = eh_column_int(query, C_NUMBER),
        .begun_utc_s = eh_column_int(query, C_BEGUN),
        .utc_offset_s = (int32_t)eh_run_column_within(query, C_OFFSET, -86400, 86400, &bad)};
    const struct {
        int column;
        const char **text;
    } texts[] = {{C_KIND, &out->kind},
                 {C_PLAYER, &out->player},
                 {C_EXERCISE, &out->exercise},
                 {C_ASKED, &out->asked}};
    enum eh_status status =
        bad ? eh_fail(eh_db_error(l->store->db), EH_DAMAGED,
                      "the history is damaged (sitting %lld: its time zone); put back a copy",
                      (long long)out->number)
            : EH_OK;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0] && status == EH_OK; i++) {
        status = eh_run_column_text(l->store, query, texts[i].column, &l->pool, texts[i].text);
    }
    return status;
}

static enum eh_status add_row(struct listing *l, struct eh_query *query) {
    if (l->list.count == l->capacity) {
        const size_t capacity = l->capacity == 0 ? 16 : l->capacity * 2;
        struct eh_store_sitting *grown = realloc(l->list.rows, capacity * sizeof *grown);
        if (grown == NULL) {
            return eh_fail(eh_db_error(l->store->db), EH_NO_MEMORY, "out of memory");
        }
        l->list.rows = grown;
        l->capacity = capacity;
    }
    return read_row(l, query, &l->list.rows[l->list.count++]);
}

static void bind(struct eh_query *query, int slot, const char *text) {
    eh_query_null(query, slot);
    if (text != NULL) {
        eh_query_text(query, slot, text);
    }
}

static enum eh_status list_all(struct listing *l, const struct eh_sitting_filter *filter) {
    struct eh_query *query = eh_db_query(l->store->db, Q_SITTING_LIST);
    bind(query, 1, filter->kind);
    bind(query, 2, filter->player);
    bind(query, 3, filter->exercise);
    bind(query, 4, filter->asked);
    eh_query_int(query, 5, filter->limit == 0 ? -1 : (int64_t)filter->limit);
    bool row = false;
    enum eh_status status = eh_query_step(query, &row);
    while (status == EH_OK && row) {
        status = add_row(l, query);
        if (status == EH_OK) {
            status = eh_query_step(query, &row);
        }
    }
    eh_query_rest(query);
    return status;
}

enum eh_status eh_store_sittings(struct eh_store *store, const struct eh_sitting_filter *filter,
                                 struct eh_sitting_list *out_list, struct eh_error *error) {
    static const struct eh_sitting_filter all = {0};
    struct listing l = {.store = store};
    enum eh_status status = eh_db_begin_read(store->db);
    if (status == EH_OK) {
        status = eh_db_finish(store->db, list_all(&l, filter == NULL ? &all : filter));
    }
    *out_list = l.list;
    out_list->memory = l.pool;
    if (status != EH_OK) {
        eh_sitting_list_deinit(out_list);
    }
    return eh_store_tell(store, status, error);
}

void eh_sitting_list_deinit(struct eh_sitting_list *list) {
    free(list->rows);
    eh_pool_free(list->memory);
    *list = (struct eh_sitting_list){0};
}
