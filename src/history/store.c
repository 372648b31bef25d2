#include <stdlib.h>
#include <string.h>

#include "store_parts.h"

enum eh_status eh_store_tell(struct eh_store *store, enum eh_status status,
                             struct eh_error *error) {
    if (status != EH_OK && error != NULL) {
        *error = *eh_db_error(store->db);
    }
    return status;
}

const struct eh_error *eh_store_error(const struct eh_store *store) {
    return eh_db_error(store->db);
}

/* A file of an older version is brought up to date even for a reader: only its tables' shape
 * changes. Where that is impossible the reader is told. */
static enum eh_status make_current(struct eh_store *store, const struct eh_schema *schema,
                                   enum eh_schema_state state) {
    if (state == EH_SCHEMA_EMPTY && store->mode == EH_STORE_READ) {
        return eh_fail(eh_db_error(store->db), EH_NOT_FOUND,
                       "there is no history yet: no run has been played");
    }
    if (state == EH_SCHEMA_CURRENT) {
        return EH_OK;
    }
    if (eh_db_is_read_only(store->db)) {
        return eh_fail(eh_db_error(store->db), EH_NO_ACCESS,
                       "the history is of an older version and must be brought up to date, but can "
                       "only be read; copy it to where it can be written");
    }
    return eh_schema_upgrade(store->db, schema);
}

static enum eh_status set_up(struct eh_store *store, const struct eh_schema *schema) {
    enum eh_schema_state state = EH_SCHEMA_EMPTY;
    enum eh_status status = eh_schema_look(store->db, schema, &state);
    if (status == EH_OK && store->mode == EH_STORE_WRITE) {
        status = eh_db_is_read_only(store->db)
                     ? eh_fail(eh_db_error(store->db), EH_NO_ACCESS,
                               "the history can only be read; look at the rights of the file")
                     : eh_db_use_wal(store->db);
    }
    if (status == EH_OK) {
        status = make_current(store, schema, state);
    }
    if (status == EH_OK) {
        status = eh_db_prepare(store->db, eh_store_sql, Q_COUNT);
    }
    if (status == EH_OK && store->mode == EH_STORE_READ) {
        status = eh_db_forbid_writing(store->db, true);
    }
    return status;
}

enum eh_status eh_store_open_schema(struct eh_store **out_store, const char *path,
                                    enum eh_store_mode mode, const struct eh_schema *schema,
                                    struct eh_error *error) {
    *out_store = NULL;
    struct eh_store *store = calloc(1, sizeof *store);
    if (store == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "out of memory");
    }
    store->mode = mode;
    enum eh_status status =
        eh_db_open(&store->db, path, mode == EH_STORE_WRITE ? EH_DB_WRITE : EH_DB_READ, error);
    if (status == EH_OK) {
        status = eh_store_tell(store, set_up(store, schema), error);
    }
    if (status != EH_OK) {
        eh_store_close(store);
        return status;
    }
    *out_store = store;
    return EH_OK;
}

enum eh_status eh_store_open(struct eh_store **out_store, const char *path, enum eh_store_mode mode,
                             struct eh_error *error) {
    return eh_store_open_schema(out_store, path, mode, &eh_schema_history, error);
}

void eh_store_close(struct eh_store *store) {
    if (store != NULL) {
        eh_db_close(store->db);
        free(store);
    }
}

enum eh_status eh_store_begin_write(struct eh_store *store, int wait_ms) {
    if (store->mode != EH_STORE_WRITE) {
        return eh_fail(eh_db_error(store->db), EH_NO_ACCESS,
                       "the history was opened for reading only");
    }
    return eh_db_begin_write(store->db, wait_ms);
}

static enum eh_status check_pages(struct eh_store *store) {
    struct eh_query *query = eh_db_query(store->db, Q_CHECK);
    bool row = false;
    enum eh_status status = eh_query_step(query, &row);
    if (status == EH_OK && row && strcmp(eh_column_text(query, 0), "ok") != 0) {
        status = eh_fail(eh_db_error(store->db), EH_DAMAGED,
                         "the history is damaged (%.200s); put back a copy, or save what is left "
                         "with \"sqlite3 FILE .clone NEWFILE\"",
                         eh_column_text(query, 0));
    }
    eh_query_rest(query);
    return status;
}

static enum eh_status check_keys(struct eh_store *store) {
    struct eh_query *query = eh_db_query(store->db, Q_CHECK_KEYS);
    bool row = false;
    enum eh_status status = eh_query_step(query, &row);
    if (status == EH_OK && row) {
        status = eh_fail(eh_db_error(store->db), EH_DAMAGED,
                         "the history is damaged (a row of \"%.80s\" belongs to nothing); put back "
                         "a copy",
                         eh_column_text(query, 0));
    }
    eh_query_rest(query);
    return status;
}

enum eh_status eh_store_check(struct eh_store *store, struct eh_error *error) {
    enum eh_status status = check_pages(store);
    if (status == EH_OK) {
        status = check_keys(store);
    }
    return eh_store_tell(store, status, error);
}
