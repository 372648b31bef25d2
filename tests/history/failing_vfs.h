/* Stands between SQLite and the files, counts what SQLite asks of them and lets one request fail.
 */
#ifndef EVENHAND_TESTS_HISTORY_FAILING_VFS_H
#define EVENHAND_TESTS_HISTORY_FAILING_VFS_H

enum failing_kind {
    FAIL_OPEN,
    FAIL_READ,
    FAIL_WRITE,
    FAIL_SYNC,
    FAIL_TRUNCATE,
    FAIL_SIZE,
    FAIL_LOCK,
    FAIL_SHM_MAP,
    FAIL_SHM_LOCK,
    FAIL_KINDS
};

/* Takes over as SQLite's way to the files. */
void failing_vfs_install(void);

/* From now on the request number NTH (from 1; 0 = none) of KIND, and LASTS - 1 further ones, fail
 * with CODE. Counts anew. */
void failing_vfs_plan(enum failing_kind kind, int nth, int lasts, int code);

/* How many requests of KIND came since the plan was made. */
int failing_vfs_count(enum failing_kind kind);

#endif
