#include "write_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <string.h>
#include <unistd.h>

static enum eh_status fail_errno(struct eh_error *error, int number) {
    if (number == EEXIST) {
        return eh_fail(error, EH_NO_ACCESS, "exists already; name another file");
    }
    if (number == ENOENT || number == ENOTDIR) {
        return eh_fail(error, EH_NOT_FOUND, "its folder does not exist; make it first");
    }
    if (number == EACCES || number == EPERM || number == EROFS) {
        return eh_fail(error, EH_NO_ACCESS, "you may not write there; name another folder");
    }
    return eh_fail(error, EH_IO_FAILED, "cannot be written: %s", strerror(number));
}

static bool write_all(int file, const char *bytes, size_t length) {
    while (length > 0) {
        const ssize_t done = write(file, bytes, length);
        if (done < 0 && errno != EINTR) {
            return false;
        }
        if (done > 0) {
            bytes += done;
            length -= (size_t)done;
        }
    }
    return true;
}

enum eh_status write_new_file(const char *path, const void *bytes, size_t length,
                              struct eh_error *error) {
    const int file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (file < 0) {
        return fail_errno(error, errno);
    }
    int failed = write_all(file, bytes, length) ? 0 : errno;
    if (close(file) != 0 && failed == 0) {
        failed = errno;
    }
    if (failed != 0) {
        (void)unlink(path);
        return fail_errno(error, failed);
    }
    return EH_OK;
}
