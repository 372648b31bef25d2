#include "failing_vfs.h"

#include <sqlite3.h>
#include <stddef.h>

static sqlite3_vfs *real;
static sqlite3_vfs ours;

static struct {
    enum failing_kind kind;
    int nth, lasts, code;
    int counts[FAIL_KINDS];
} plan;

void failing_vfs_plan(enum failing_kind kind, int nth, int lasts, int code) {
    plan.kind = kind;
    plan.nth = nth;
    plan.lasts = lasts;
    plan.code = code;
    for (int k = 0; k < FAIL_KINDS; k++) {
        plan.counts[k] = 0;
    }
}

int failing_vfs_count(enum failing_kind kind) {
    return plan.counts[kind];
}

static int asked(enum failing_kind kind) {
    const int count = ++plan.counts[kind];
    const int hit =
        kind == plan.kind && plan.nth > 0 && count >= plan.nth && count < plan.nth + plan.lasts;
    return hit ? plan.code : SQLITE_OK;
}

/* Our file; the real one lies directly behind it. */
struct file {
    sqlite3_file base;
};

static sqlite3_file *behind(sqlite3_file *file) {
    return (sqlite3_file *)((struct file *)file + 1);
}

#define PASS_ON(kind, call)                                                                        \
    do {                                                                                           \
        const int code = asked(kind);                                                              \
        return code != SQLITE_OK ? code : behind(file)->pMethods->call;                            \
    } while (0)

static int close_file(sqlite3_file *file) {
    return behind(file)->pMethods->xClose(behind(file));
}

static int read_file(sqlite3_file *file, void *bytes, int n, sqlite3_int64 at) {
    PASS_ON(FAIL_READ, xRead(behind(file), bytes, n, at));
}

/* A failing write reaches the disk half, as on a disk that becomes full. */
static int write_file(sqlite3_file *file, const void *bytes, int n, sqlite3_int64 at) {
    const int code = asked(FAIL_WRITE);
    const int done =
        behind(file)->pMethods->xWrite(behind(file), bytes, code == SQLITE_OK ? n : n / 2, at);
    return code == SQLITE_OK ? done : code;
}

static int truncate_file(sqlite3_file *file, sqlite3_int64 size) {
    PASS_ON(FAIL_TRUNCATE, xTruncate(behind(file), size));
}

/* Nobody pulls the plug here, so nobody waits for the disk. */
static int sync_file(sqlite3_file *file, int flags) {
    (void)file;
    (void)flags;
    return asked(FAIL_SYNC);
}

static int size_file(sqlite3_file *file, sqlite3_int64 *out_size) {
    PASS_ON(FAIL_SIZE, xFileSize(behind(file), out_size));
}

static int lock_file(sqlite3_file *file, int level) {
    PASS_ON(FAIL_LOCK, xLock(behind(file), level));
}

static int unlock_file(sqlite3_file *file, int level) {
    return behind(file)->pMethods->xUnlock(behind(file), level);
}

static int check_lock(sqlite3_file *file, int *out) {
    return behind(file)->pMethods->xCheckReservedLock(behind(file), out);
}

static int control(sqlite3_file *file, int op, void *arg) {
    return behind(file)->pMethods->xFileControl(behind(file), op, arg);
}

static int sector(sqlite3_file *file) {
    return behind(file)->pMethods->xSectorSize(behind(file));
}

static int traits(sqlite3_file *file) {
    return behind(file)->pMethods->xDeviceCharacteristics(behind(file));
}

static int shm_map(sqlite3_file *file, int page, int size, int extend, void volatile **out) {
    PASS_ON(FAIL_SHM_MAP, xShmMap(behind(file), page, size, extend, out));
}

static int shm_lock(sqlite3_file *file, int offset, int n, int flags) {
    if ((flags & SQLITE_SHM_UNLOCK) != 0) {
        return behind(file)->pMethods->xShmLock(behind(file), offset, n, flags);
    }
    PASS_ON(FAIL_SHM_LOCK, xShmLock(behind(file), offset, n, flags));
}

static void shm_barrier(sqlite3_file *file) {
    behind(file)->pMethods->xShmBarrier(behind(file));
}

static int shm_unmap(sqlite3_file *file, int remove) {
    return behind(file)->pMethods->xShmUnmap(behind(file), remove);
}

static const sqlite3_io_methods methods = {
    .iVersion = 2,
    .xClose = close_file,
    .xRead = read_file,
    .xWrite = write_file,
    .xTruncate = truncate_file,
    .xSync = sync_file,
    .xFileSize = size_file,
    .xLock = lock_file,
    .xUnlock = unlock_file,
    .xCheckReservedLock = check_lock,
    .xFileControl = control,
    .xSectorSize = sector,
    .xDeviceCharacteristics = traits,
    .xShmMap = shm_map,
    .xShmLock = shm_lock,
    .xShmBarrier = shm_barrier,
    .xShmUnmap = shm_unmap,
};

static int open_file(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags,
                     int *out_flags) {
    (void)vfs;
    file->pMethods = NULL;
    int code = asked(FAIL_OPEN);
    if (code == SQLITE_OK) {
        code = real->xOpen(real, name, behind(file), flags, out_flags);
    }
    if (code == SQLITE_OK) {
        file->pMethods = &methods;
    }
    return code;
}

void failing_vfs_install(void) {
    real = sqlite3_vfs_find(NULL);
    ours = *real;
    ours.zName = "failing";
    ours.szOsFile = (int)sizeof(struct file) + real->szOsFile;
    ours.xOpen = open_file;
    ours.pNext = NULL;
    (void)sqlite3_vfs_register(&ours, 1);
}
