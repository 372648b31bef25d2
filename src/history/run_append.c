/* Appending to a run while it is played.
 *
 * Items are numbered in the order in which they come, and the number is their key. The store
 * remembers how many are known to be stored, so that a chunk that failed gets the same numbers when
 * it is given again. Should it have reached the disk although its commit reported a failure, the
 * same item under the same number is accepted; another item is not. */
#include "store_parts.h"

static enum eh_status next_number(struct eh_store *store, enum eh_store_query which, int64_t run,
                                  int64_t *out_number) {
    struct eh_query *query = eh_db_query(store->db, which);
    eh_query_int(query, 1, run);
    bool row = false;
    const enum eh_status status = eh_query_step(query, &row);
    *out_number = status == EH_OK && row ? eh_column_int(query, 0) : 0;
    eh_query_rest(query);
    return status;
}

/* Makes RUN the one that is being written. Another program may have removed it meanwhile. */
static enum eh_status turn_to(struct eh_store *store, int64_t run) {
    int64_t hits = 0;
    int64_t clicks = 0;
    enum eh_status status = eh_store_require_run(store, run);
    if (status != EH_OK || run == store->run) {
        return status;
    }
    status = next_number(store, Q_HIT_NEXT, run, &hits);
    if (status == EH_OK) {
        status = next_number(store, Q_CLICK_NEXT, run, &clicks);
    }
    if (status == EH_OK) {
        store->run = run;
        store->hits = hits;
        store->clicks = clicks;
    }
    return status;
}

static enum eh_status insert(struct eh_store *store, struct eh_query *query) {
    int changes = 0;
    const enum eh_status status = eh_query_run(query, &changes);
    if (status == EH_OK && changes == 0) {
        return eh_fail(eh_db_error(store->db), EH_BUSY,
                       "another program is writing run %lld; let only one play it",
                       (long long)store->run);
    }
    return status;
}

static enum eh_status insert_hits(struct eh_store *store, const struct eh_hit *hits, size_t n) {
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < n && status == EH_OK; i++) {
        struct eh_query *query = eh_db_query(store->db, Q_HIT_ADD);
        eh_query_int(query, 1, store->run);
        eh_query_int(query, 2, store->hits + (int64_t)i);
        eh_query_int(query, 3, hits[i].at_ns);
        eh_query_int(query, 4, hits[i].velocity);
        eh_query_int(query, 5, hits[i].note);
        eh_query_int(query, 6, hits[i].channel);
        status = insert(store, query);
    }
    return status;
}

static enum eh_status insert_clicks(struct eh_store *store, const struct eh_run_click *clicks,
                                    size_t n) {
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < n && status == EH_OK; i++) {
        struct eh_query *query = eh_db_query(store->db, Q_CLICK_ADD);
        eh_query_int(query, 1, store->run);
        eh_query_int(query, 2, store->clicks + (int64_t)i);
        eh_query_int(query, 3, clicks[i].at);
        eh_query_int(query, 4, clicks[i].at_ns);
        status = insert(store, query);
    }
    return status;
}

static enum eh_status check_hits(struct eh_store *store, const struct eh_hit *hits, size_t n) {
    for (size_t i = 0; i < n; i++) {
        if (hits[i].note > 127 || hits[i].channel > 15) {
            return eh_fail(eh_db_error(store->db), EH_OUT_OF_RANGE,
                           "a hit cannot be stored: note %d on channel %d does not exist",
                           hits[i].note, hits[i].channel);
        }
    }
    return EH_OK;
}

static enum eh_status check_clicks(struct eh_store *store, const struct eh_run_click *clicks,
                                   size_t n) {
    for (size_t i = 0; i < n; i++) {
        if (clicks[i].at < -EH_CLICK_TICKS_MAX || clicks[i].at > EH_CLICK_TICKS_MAX ||
            clicks[i].at_ns < -EH_CLICK_NS_MAX || clicks[i].at_ns > EH_CLICK_NS_MAX) {
            return eh_fail(eh_db_error(store->db), EH_OUT_OF_RANGE,
                           "a click cannot be stored: its time makes no sense");
        }
    }
    return EH_OK;
}

enum eh_status eh_store_run_add_hits(struct eh_store *store, int64_t run, const struct eh_hit *hits,
                                     size_t n) {
    enum eh_status status = check_hits(store, hits, n);
    if (status == EH_OK) {
        status = eh_store_begin_write(store, EH_DB_HASTY_MS);
    }
    if (status != EH_OK) {
        return status;
    }
    status = turn_to(store, run);
    if (status == EH_OK) {
        status = insert_hits(store, hits, n);
    }
    status = eh_db_finish(store->db, status);
    if (status == EH_OK) {
        store->hits += (int64_t)n;
    }
    return status;
}

enum eh_status eh_store_run_add_clicks(struct eh_store *store, int64_t run,
                                       const struct eh_run_click *clicks, size_t n) {
    enum eh_status status = check_clicks(store, clicks, n);
    if (status == EH_OK) {
        status = eh_store_begin_write(store, EH_DB_HASTY_MS);
    }
    if (status != EH_OK) {
        return status;
    }
    status = turn_to(store, run);
    if (status == EH_OK) {
        status = insert_clicks(store, clicks, n);
    }
    status = eh_db_finish(store->db, status);
    if (status == EH_OK) {
        store->clicks += (int64_t)n;
    }
    return status;
}
