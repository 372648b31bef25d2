#include "write_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "evenhand/text.h"

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

/* 0, or the system's error number; nothing is left behind then. */
static int write_and_close(const char *path, const void *bytes, size_t length, bool to_disk) {
    const int file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (file < 0) {
        return errno;
    }
    int failed = write_all(file, bytes, length) ? 0 : errno;
    if (failed == 0 && to_disk && fsync(file) != 0) {
        failed = errno;
    }
    if (close(file) != 0 && failed == 0) {
        failed = errno;
    }
    if (failed != 0) {
        (void)unlink(path);
    }
    return failed;
}

enum eh_status write_new_file(const char *path, const void *bytes, size_t length,
                              struct eh_error *error) {
    const int failed = write_and_close(path, bytes, length, false);
    return failed == 0 ? EH_OK : fail_errno(error, failed);
}

enum eh_status write_over_file(const char *path, const void *bytes, size_t length,
                               struct eh_error *error) {
    struct eh_text beside = {0};
    eh_text_printf(&beside, "%s.%ld.new", path, (long)getpid());
    if (eh_text_status(&beside) != EH_OK) {
        eh_text_deinit(&beside);
        return eh_fail(error, EH_NO_MEMORY, "out of memory");
    }
    int failed = write_and_close(eh_text_string(&beside), bytes, length, true);
    if (failed == 0 && rename(eh_text_string(&beside), path) != 0) {
        failed = errno;
        (void)unlink(eh_text_string(&beside));
    }
    eh_text_deinit(&beside);
    return failed == 0 ? EH_OK : fail_errno(error, failed);
}
