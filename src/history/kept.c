#include <stdio.h>

#include "store_parts.h"

enum eh_status eh_store_kept_set(struct eh_store *store, const char *name, const char *value) {
    const enum eh_status status = eh_store_begin_write(store, EH_DB_PATIENT_MS);
    if (status != EH_OK) {
        return status;
    }
    struct eh_query *query = eh_db_query(store->db, Q_KEPT_SET);
    eh_query_text(query, 1, name);
    eh_query_text(query, 2, value);
    return eh_db_finish(store->db, eh_query_run(query, NULL));
}

static enum eh_status get(struct eh_store *store, const char *name, char *out, size_t size) {
    struct eh_query *query = eh_db_query(store->db, Q_KEPT_GET);
    eh_query_text(query, 1, name);
    bool row = false;
    const enum eh_status status = eh_query_step(query, &row);
    if (status == EH_OK && row) {
        (void)snprintf(out, size, "%s", eh_column_text(query, 0));
    }
    eh_query_rest(query);
    return status;
}

enum eh_status eh_store_kept_get(struct eh_store *store, const char *name, char *out, size_t size,
                                 struct eh_error *error) {
    out[0] = '\0';
    enum eh_status status = eh_db_begin_read(store->db);
    if (status == EH_OK) {
        status = eh_db_finish(store->db, get(store, name, out, size));
    }
    return eh_store_tell(store, status, error);
}
