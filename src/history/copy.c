#include <errno.h>
#include <fcntl.h>
#include <unistd.h>

#include "db_path.h"
#include "store_parts.h"

/* Makes the copy's file, so that it is surely ours to fill, and to remove should that fail. */
static enum eh_status reserve(const char *path, struct eh_error *error) {
    const int file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
    if (file >= 0) {
        (void)close(file);
        return EH_OK;
    }
    if (errno == EEXIST) {
        return eh_fail(error, EH_NO_ACCESS, "the copy's file exists already; name a new one");
    }
    return errno == EACCES || errno == EROFS
               ? eh_fail(error, EH_NO_ACCESS, "the copy's folder cannot be written")
               : eh_db_path_fail(error, errno);
}

static enum eh_status vacuum_into(struct eh_store *store, const char *name) {
    struct eh_query *query = eh_db_query(store->db, Q_COPY);
    eh_query_text(query, 1, name);
    return eh_query_run(query, NULL);
}

/* SQLite takes a copy for writing: a reader's ban is lifted for it. */
static enum eh_status lift_ban_and_vacuum(struct eh_store *store, const char *name) {
    if (store->mode == EH_STORE_WRITE) {
        return vacuum_into(store, name);
    }
    enum eh_status status = eh_db_forbid_writing(store->db, false);
    if (status == EH_OK) {
        status = vacuum_into(store, name);
        const enum eh_status again = eh_db_forbid_writing(store->db, true);
        status = status == EH_OK ? again : status;
    }
    return status;
}

static enum eh_status copy_to(struct eh_store *store, const char *path) {
    struct eh_text plain = {0};
    eh_db_path_plain(&plain, path);
    enum eh_status status = eh_text_status(&plain);
    status = status == EH_OK ? lift_ban_and_vacuum(store, eh_text_string(&plain))
                             : eh_fail(eh_db_error(store->db), status, "out of memory");
    eh_text_deinit(&plain);
    return status;
}

enum eh_status eh_store_copy(struct eh_store *store, const char *path, struct eh_error *error) {
    long long size = -1;
    struct eh_error *words = eh_db_error(store->db);
    enum eh_status status = eh_db_path_look(path, &size, words);
    if (status == EH_OK) {
        status = reserve(path, words);
    }
    if (status == EH_OK) {
        status = copy_to(store, path);
        if (status != EH_OK) {
            (void)unlink(path);
        }
    }
    return eh_store_tell(store, status, error);
}
