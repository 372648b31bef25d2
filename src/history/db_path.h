/* What is found at a path before SQLite is let at it. */
#ifndef EVENHAND_HISTORY_DB_PATH_H
#define EVENHAND_HISTORY_DB_PATH_H

#include <stdbool.h>

#include "evenhand/status.h"
#include "evenhand/text.h"

/* The size of the file in bytes, -1 where there is none; refuses folders, devices and the like, and
 * folders that do not exist. */
EH_MUST_USE enum eh_status eh_db_path_look(const char *path, long long *out_size,
                                           struct eh_error *error);

/* True when a journal with something in it lies beside the file. */
bool eh_db_path_has_journal(const char *path);

/* The path so that SQLite takes it for a plain file name (it has special names such as ":memory:"
 * and "file:..."). */
void eh_db_path_plain(struct eh_text *out, const char *path);

/* A URI by which the file is read as one that nobody changes: without locks and without a shared
 * memory file beside it. */
void eh_db_path_immutable(struct eh_text *out, const char *path);

/* The words and the status for a failed system call on the file. */
enum eh_status eh_db_path_fail(struct eh_error *error, int system_errno);

#endif
