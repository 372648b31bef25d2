#include "db_path.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>

enum eh_status eh_db_path_fail(struct eh_error *error, int system_errno) {
    switch (system_errno) {
    case EACCES:
    case EPERM:
        return eh_fail(error, EH_NO_ACCESS,
                       "no permission to open the history; look at the rights of the file and its "
                       "folder");
    case EROFS:
        return eh_fail(error, EH_NO_ACCESS,
                       "the history lies on a medium that cannot be written; copy it elsewhere");
    case ENOENT:
    case ENOTDIR:
        return eh_fail(error, EH_NOT_FOUND,
                       "the folder of the history does not exist; create it or name another file");
    case EISDIR:
        return eh_fail(error, EH_NO_ACCESS, "the history must be a file, but this is a folder");
    case ENOSPC:
    case EDQUOT:
    case EFBIG:
        return eh_fail(error, EH_IO_FAILED, "the disk is full; free some space and try again");
    default:
        return eh_fail(error, EH_IO_FAILED, "the history cannot be opened: %s",
                       strerror(system_errno));
    }
}

static enum eh_status look_at_folder(const char *path, struct eh_error *error) {
    struct eh_text folder = {0};
    const char *slash = strrchr(path, '/');
    if (slash == NULL) {
        eh_text_add(&folder, ".");
    } else {
        eh_text_add_bytes(&folder, path, (size_t)(slash - path) + 1);
    }
    enum eh_status status = eh_text_status(&folder);
    struct stat found;
    if (status != EH_OK) {
        status = eh_fail(error, status, "out of memory");
    } else if (stat(eh_text_string(&folder), &found) != 0) {
        status = eh_db_path_fail(error, errno);
    }
    eh_text_deinit(&folder);
    return status;
}

enum eh_status eh_db_path_look(const char *path, long long *out_size, struct eh_error *error) {
    struct stat found;
    *out_size = -1;
    if (path[0] == '\0') {
        return eh_fail(error, EH_NOT_FOUND, "the name of the history's file is empty");
    }
    if (stat(path, &found) != 0) {
        return errno == ENOENT ? look_at_folder(path, error) : eh_db_path_fail(error, errno);
    }
    if (S_ISDIR(found.st_mode)) {
        return eh_db_path_fail(error, EISDIR);
    }
    if (!S_ISREG(found.st_mode)) {
        return eh_fail(error, EH_NO_ACCESS,
                       "the history must be an ordinary file, but this is none");
    }
    *out_size = found.st_size;
    return EH_OK;
}

bool eh_db_path_has_journal(const char *path) {
    static const char *const endings[] = {"-wal", "-journal"};
    bool found = false;
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++) {
        struct eh_text name = {0};
        struct stat journal;
        eh_text_add(&name, path);
        eh_text_add(&name, endings[i]);
        found = found || name.failed ||
                (stat(eh_text_string(&name), &journal) == 0 && journal.st_size > 0);
        eh_text_deinit(&name);
    }
    return found;
}

void eh_db_path_plain(struct eh_text *out, const char *path) {
    eh_text_add(out, path[0] == '/' ? "" : "./");
    eh_text_add(out, path);
}

void eh_db_path_immutable(struct eh_text *out, const char *path) {
    struct eh_text plain = {0};
    eh_db_path_plain(&plain, path);
    /* An empty authority, so that a path beginning with two slashes is not taken for one. */
    eh_text_add(out, path[0] == '/' ? "file://" : "file:");
    for (const char *c = eh_text_string(&plain); *c != '\0'; c++) {
        if (strchr("?#%", *c) != NULL) {
            eh_text_printf(out, "%%%02X", (unsigned)(unsigned char)*c);
        } else {
            eh_text_add_char(out, *c);
        }
    }
    eh_text_add(out, "?mode=ro&immutable=1");
    out->failed = out->failed || plain.failed;
    eh_text_deinit(&plain);
}
