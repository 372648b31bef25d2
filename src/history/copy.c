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

static enum eh_status copy_to(struct eh_store *store, const char *path) {
    struct eh_text plain = {0};
    eh_db_path_plain(&plain, path);
    enum eh_status status = eh_text_status(&plain);
    if (status == EH_OK) {
        struct eh_query *query = eh_db_query(store->db, Q_COPY);
        eh_query_text(query, 1, eh_text_string(&plain));
        status = eh_query_run(query, NULL);
    } else {
        status = eh_fail(eh_db_error(store->db), status, "out of memory");
    }
    eh_text_deinit(&plain);
    return status;
}

enum eh_status eh_store_copy(struct eh_store *store, const char *path, struct eh_error *error) {
    bool exists = false;
    struct eh_error *words = eh_db_error(store->db);
    enum eh_status status = eh_db_path_look(path, &exists, words);
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
