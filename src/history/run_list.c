#include <stdlib.h>

#include "evenhand/text.h"
#include "run_columns.h"

/* Rows while they are read; texts go to the pool, the rows move when they grow. */
struct listing {
    struct eh_store *store;
    struct eh_pool *pool;
    struct eh_run_row *rows;
    size_t count, capacity;
};

static struct eh_run_row *new_row(struct listing *l) {
    if (l->count == l->capacity) {
        const size_t capacity = l->capacity == 0 ? 32 : l->capacity * 2;
        struct eh_run_row *grown = realloc(l->rows, capacity * sizeof *grown);
        if (grown == NULL) {
            (void)eh_fail(eh_db_error(l->store->db), EH_NO_MEMORY, "out of memory");
            return NULL;
        }
        l->rows = grown;
        l->capacity = capacity;
    }
    return &l->rows[l->count];
}

static enum eh_status list_row(struct listing *l, struct eh_query *query) {
    struct eh_run_row *row = new_row(l);
    if (row == NULL) {
        return EH_NO_MEMORY;
    }
    bool bad = false;
    const enum eh_status status = eh_run_columns_read(l->store, query, &l->pool, row);
    row->hits = (uint32_t)eh_run_column_within(query, EH_RUN_COLUMNS, 0, UINT32_MAX, &bad);
    if (status != EH_OK) {
        return status;
    }
    l->count++;
    return bad ? eh_run_damaged(l->store, row->number, "its hits") : EH_OK;
}

static void bind_filter(struct eh_query *query, const struct eh_run_filter *filter) {
    eh_query_null(query, 1);
    eh_query_null(query, 2);
    eh_query_null(query, 3);
    eh_query_null(query, 4);
    if (filter->exercise != NULL) {
        eh_query_text(query, 1, filter->exercise);
    }
    if (filter->player != NULL) {
        eh_query_text(query, 2, filter->player);
    }
    if (filter->since_utc_s != 0) {
        eh_query_int(query, 3, filter->since_utc_s);
    }
    if (filter->before != 0) {
        eh_query_int(query, 4, filter->before);
    }
    eh_query_int(query, 5, filter->with_json ? 1 : 0);
    eh_query_null(query, 7);
    if (filter->sitting != 0) {
        eh_query_int(query, 7, filter->sitting);
    }
    eh_query_int(query, 6, filter->limit == 0 ? -1 : (int64_t)filter->limit);
}

static enum eh_status list_all(struct listing *l, const struct eh_run_filter *filter) {
    struct eh_query *query = eh_db_query(l->store->db, Q_RUN_LIST);
    bind_filter(query, filter);
    bool row = false;
    enum eh_status status = eh_query_step(query, &row);
    while (status == EH_OK && row) {
        status = list_row(l, query);
        if (status == EH_OK) {
            status = eh_query_step(query, &row);
        }
    }
    eh_query_rest(query);
    return status;
}

enum eh_status eh_store_runs(struct eh_store *store, const struct eh_run_filter *filter,
                             struct eh_run_list *out_list, struct eh_error *error) {
    static const struct eh_run_filter all = {0};
    struct listing l = {.store = store};
    enum eh_status status = eh_db_begin_read(store->db);
    if (status == EH_OK) {
        status = eh_db_finish(store->db, list_all(&l, filter == NULL ? &all : filter));
    }
    *out_list = (struct eh_run_list){.rows = l.rows, .count = l.count, .memory = l.pool};
    if (status != EH_OK) {
        eh_run_list_deinit(out_list);
    }
    return eh_store_tell(store, status, error);
}

void eh_run_list_deinit(struct eh_run_list *list) {
    free(list->rows);
    eh_pool_free(list->memory);
    *list = (struct eh_run_list){0};
}

/* More gaps than this are not spelled out. */
enum { RANGES_TOLD = 12 };

static void tell_range(struct eh_text *text, int64_t first, int64_t last, int ranges) {
    if (ranges > RANGES_TOLD) {
        return;
    }
    eh_text_add(text, ranges > 1 ? ", " : "");
    if (ranges == RANGES_TOLD) {
        eh_text_add(text, "and others");
    } else if (first == last) {
        eh_text_printf(text, "%lld", (long long)first);
    } else {
        eh_text_printf(text, "%lld to %lld", (long long)first, (long long)last);
    }
}

/* "1 to 4, 7, 9 to 12"; empty when there are none. */
static enum eh_status tell_numbers(struct eh_store *store, struct eh_text *text) {
    struct eh_query *query = eh_db_query(store->db, Q_RUN_NUMBERS);
    int64_t first = 0;
    int64_t last = 0;
    int ranges = 0;
    bool row = false;
    enum eh_status status = eh_query_step(query, &row);
    while (status == EH_OK && row) {
        const int64_t number = eh_column_int(query, 0);
        if (last != 0 && number != last + 1) {
            tell_range(text, first, last, ++ranges);
            first = number;
        }
        first = last == 0 ? number : first;
        last = number;
        status = eh_query_step(query, &row);
    }
    eh_query_rest(query);
    if (last != 0) {
        tell_range(text, first, last, ++ranges);
    }
    return status;
}

static enum eh_status no_such_run(struct eh_store *store, int64_t run) {
    struct eh_text numbers = {0};
    enum eh_status status = tell_numbers(store, &numbers);
    if (status == EH_OK && numbers.length == 0) {
        status = eh_fail(eh_db_error(store->db), EH_NOT_FOUND,
                         "there is no run %lld; the history is empty", (long long)run);
    } else if (status == EH_OK) {
        status = eh_fail(eh_db_error(store->db), EH_NOT_FOUND,
                         "there is no run %lld; the history holds %s", (long long)run,
                         eh_text_string(&numbers));
    }
    eh_text_deinit(&numbers);
    return status;
}

enum eh_status eh_store_require_run(struct eh_store *store, int64_t run) {
    struct eh_query *query = eh_db_query(store->db, Q_RUN_EXISTS);
    eh_query_int(query, 1, run);
    bool row = false;
    const enum eh_status status = eh_query_step(query, &row);
    eh_query_rest(query);
    return status == EH_OK && !row ? no_such_run(store, run) : status;
}
