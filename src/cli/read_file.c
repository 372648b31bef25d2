#include "read_file.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static enum eh_status fail_errno(struct eh_error *error, int number) {
    if (number == ENOENT || number == ENOTDIR) {
        return eh_fail(error, EH_NOT_FOUND, "there is no such file; check the name");
    }
    if (number == EACCES || number == EPERM) {
        return eh_fail(error, EH_NO_ACCESS,
                       "you may not read it; ask its owner, or change its permissions (chmod)");
    }
    return eh_fail(error, EH_IO_FAILED, "cannot be read: %s", strerror(number));
}

static enum eh_status check_kind(const struct stat *status, size_t limit, struct eh_error *error) {
    if (S_ISDIR(status->st_mode)) {
        return eh_fail(error, EH_IO_FAILED, "is a folder; name a file in it");
    }
    if (!S_ISREG(status->st_mode)) {
        return eh_fail(error, EH_IO_FAILED,
                       "is a device or pipe; give an ordinary file (save it first)");
    }
    if (status->st_size > 0 && (unsigned long long)status->st_size > limit) {
        return eh_fail(error, EH_TOO_LARGE, "has %lld bytes; more than %zu cannot be right",
                       (long long)status->st_size, limit);
    }
    return EH_OK;
}

/* The file may grow while it is read, so the limit is watched here too. */
static enum eh_status read_all(struct eh_text *out, int file, size_t limit,
                               struct eh_error *error) {
    char block[65536];
    for (;;) {
        const ssize_t got = read(file, block, sizeof block);
        if (got < 0 && errno == EINTR) {
            continue;
        }
        if (got < 0) {
            return fail_errno(error, errno);
        }
        if (got == 0) {
            break;
        }
        if ((size_t)got > limit - out->length) {
            return eh_fail(error, EH_TOO_LARGE, "has more than %zu bytes; that cannot be right",
                           limit);
        }
        eh_text_add_bytes(out, block, (size_t)got);
    }
    if (eh_text_status(out) != EH_OK) {
        return eh_fail(error, EH_NO_MEMORY, "not enough memory to read it");
    }
    return out->length > 0 ? EH_OK : eh_fail(error, EH_EMPTY, "is empty (0 bytes)");
}

enum eh_status read_file(struct eh_text *out, const char *path, size_t limit,
                         struct eh_error *error) {
    const int file = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);
    if (file < 0) {
        return fail_errno(error, errno);
    }
    struct stat status;
    enum eh_status result =
        fstat(file, &status) == 0 ? check_kind(&status, limit, error) : fail_errno(error, errno);
    if (result == EH_OK) {
        result = read_all(out, file, limit, error);
    }
    (void)close(file);
    return result;
}
