#include <stdio.h>

#include "evenhand/text.h"
#include "pad_rows.h"

static const char *or_empty(const char *text) {
    return text == NULL ? "" : text;
}

/* Binds port and player to the first two slots; KEY must live until the query is run. */
static struct eh_query *query_for(struct eh_store *store, enum eh_store_query which,
                                  const char *port, const char *player, char key[EH_PORT_KEY]) {
    struct eh_query *query = eh_db_query(store->db, which);
    eh_port_key(or_empty(port), key);
    eh_query_text(query, 1, key);
    eh_query_text(query, 2, or_empty(player));
    return query;
}

enum eh_status eh_store_pad_set(struct eh_store *store, const char *port, const char *player,
                                int64_t made_utc_s, const char *pad_text) {
    if (made_utc_s < 0) {
        return eh_fail(eh_db_error(store->db), EH_OUT_OF_RANGE,
                       "the pad cannot be stored: it was made before 1970");
    }
    enum eh_status status = eh_store_begin_write(store, EH_DB_PATIENT_MS);
    if (status != EH_OK) {
        return status;
    }
    char key[EH_PORT_KEY];
    struct eh_query *query = query_for(store, Q_PAD_SET, port, player, key);
    eh_query_int(query, 3, made_utc_s);
    eh_query_text(query, 4, or_empty(pad_text));
    status = eh_db_finish(store->db, eh_query_run(query, NULL));
    return status == EH_OK ? eh_db_checkpoint(store->db) : status;
}

/* ---- Where there is none ---- */

/* "nobody named, "ada"": whose pads are kept for the port. */
static enum eh_status tell_players(struct eh_store *store, const char *key, struct eh_text *text) {
    struct eh_query *query = eh_db_query(store->db, Q_PAD_PLAYERS);
    eh_query_text(query, 1, key);
    bool row = false;
    enum eh_status status = eh_query_step(query, &row);
    while (status == EH_OK && row) {
        const char *player = eh_column_text(query, 0);
        eh_text_add(text, text->length == 0 ? "" : ", ");
        if (player[0] == '\0') {
            eh_text_add(text, "a player without a name");
        } else {
            eh_text_printf(text, "\"%.64s\"", player);
        }
        status = eh_query_step(query, &row);
    }
    eh_query_rest(query);
    return status;
}

static enum eh_status no_such_pad(struct eh_store *store, const char *key, const char *player) {
    struct eh_text others = {0};
    char whose[96] = "a player without a name";
    if (player[0] != '\0') {
        (void)snprintf(whose, sizeof whose, "\"%.64s\"", player);
    }
    enum eh_status status = tell_players(store, key, &others);
    if (status == EH_OK && others.length == 0) {
        status = eh_fail(eh_db_error(store->db), EH_NOT_FOUND,
                         "no pad is kept for the port \"%.120s\"", key);
    } else if (status == EH_OK) {
        status = eh_fail(eh_db_error(store->db), EH_NOT_FOUND,
                         "no pad is kept for the port \"%.120s\" played by %s, only for %.160s",
                         key, whose, eh_text_string(&others));
    }
    eh_text_deinit(&others);
    return status;
}

/* ---- Reading and removing ---- */

static enum eh_status get(struct eh_store *store, const char *port, const char *player,
                          struct eh_store_pad *out_pad) {
    char key[EH_PORT_KEY];
    struct eh_pool *pool = NULL;
    bool row = false;
    struct eh_query *query = query_for(store, Q_PAD_GET, port, player, key);
    enum eh_status status = eh_query_step(query, &row);
    if (status == EH_OK && row) {
        status = eh_pad_row_read(store, query, &pool, out_pad);
        out_pad->memory = pool;
    }
    eh_query_rest(query);
    return status == EH_OK && !row ? no_such_pad(store, key, or_empty(player)) : status;
}

enum eh_status eh_store_pad_get(struct eh_store *store, const char *port, const char *player,
                                struct eh_store_pad *out_pad, struct eh_error *error) {
    *out_pad = (struct eh_store_pad){0};
    enum eh_status status = eh_db_begin_read(store->db);
    if (status == EH_OK) {
        status = eh_db_finish(store->db, get(store, port, player, out_pad));
    }
    if (status != EH_OK) {
        eh_store_pad_deinit(out_pad);
    }
    return eh_store_tell(store, status, error);
}

void eh_store_pad_deinit(struct eh_store_pad *pad) {
    eh_pool_free(pad->memory);
    *pad = (struct eh_store_pad){0};
}

static enum eh_status delete_pad(struct eh_store *store, const char *port, const char *player) {
    char key[EH_PORT_KEY];
    int changes = 0;
    struct eh_query *query = query_for(store, Q_PAD_DELETE, port, player, key);
    const enum eh_status status = eh_query_run(query, &changes);
    return status == EH_OK && changes == 0 ? no_such_pad(store, key, or_empty(player)) : status;
}

enum eh_status eh_store_pad_delete(struct eh_store *store, const char *port, const char *player,
                                   struct eh_error *error) {
    enum eh_status status = eh_store_begin_write(store, EH_DB_PATIENT_MS);
    if (status == EH_OK) {
        status = eh_db_finish(store->db, delete_pad(store, port, player));
    }
    return eh_store_tell(store, status, error);
}
