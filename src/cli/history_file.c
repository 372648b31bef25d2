#include "history_file.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "say.h"

int history_path(char out_path[FOLDERS_PATH], const char *db) {
    if (db != NULL) {
        const int length = snprintf(out_path, FOLDERS_PATH, "%s", db);
        return length < FOLDERS_PATH ? CLI_GOOD : cli_complain("--db: the name is too long");
    }
    char folder[FOLDERS_PATH];
    if (!folders_user_data(folder) || !folders_join(out_path, folder, "history.db")) {
        return cli_complain("history: your home folder is not known (HOME is not set); say "
                            "--db FILE");
    }
    return CLI_GOOD;
}

/* Makes the folders above PATH, one after the other; what is there already is fine. */
static int make_folders(const char *path) {
    char folder[FOLDERS_PATH];
    (void)snprintf(folder, sizeof folder, "%s", path);
    for (char *slash = strchr(folder + 1, '/'); slash != NULL; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        if (mkdir(folder, 0700) != 0 && errno != EEXIST) {
            return cli_complain("history: the folder %s cannot be made: %s; make it, or say "
                                "--db FILE",
                                folder, strerror(errno));
        }
        *slash = '/';
    }
    return CLI_GOOD;
}

/* A history of the user's own that is not there yet is an answer of its own. */
static bool is_not_there_yet(const char *db, enum eh_store_mode mode, enum eh_status status) {
    return db == NULL && mode == EH_STORE_READ && status == EH_NOT_FOUND;
}

static int open_history(struct eh_store **out_store, const char *db, enum eh_store_mode mode,
                        bool quietly) {
    *out_store = NULL;
    char path[FOLDERS_PATH];
    int result = history_path(path, db);
    if (result == CLI_GOOD && db == NULL && mode == EH_STORE_WRITE) {
        result = make_folders(path);
    }
    if (result != CLI_GOOD) {
        return result;
    }
    struct eh_error error;
    eh_error_clear(&error);
    const enum eh_status status = eh_store_open(out_store, path, mode, &error);
    if (is_not_there_yet(db, mode, status)) {
        return quietly ? CLI_GOOD : cli_complain("history: there are no runs yet (no %s)", path);
    }
    return status == EH_OK ? CLI_GOOD : cli_complain_error(path, &error);
}

int history_open(struct eh_store **out_store, const char *db, enum eh_store_mode mode) {
    return open_history(out_store, db, mode, false);
}

int history_open_if_any(struct eh_store **out_store, const char *db) {
    return open_history(out_store, db, EH_STORE_READ, true);
}
