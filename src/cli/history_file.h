/* The history's file: where it lies, and opening it with words for what went wrong. */
#ifndef EVENHAND_CLI_HISTORY_FILE_H
#define EVENHAND_CLI_HISTORY_FILE_H

#include <stdbool.h>

#include "evenhand/store.h"
#include "folders.h"

/* DB (what --db said), or history.db in the user's data folder where DB is NULL. Returns CLI_GOOD,
 * or CLI_FAILED after a complaint (no home folder is known). */
int history_path(char out_path[FOLDERS_PATH], const char *db);

/* Opens the history. For writing, the user's data folder is made when it is missing (the folder of
 * a file named by --db is not). Returns CLI_GOOD, or CLI_FAILED after a complaint. */
int history_open(struct eh_store **out_store, const char *db, enum eh_store_mode mode);

/* The same for reading, but without a complaint where there is no history yet in the user's data
 * folder: *OUT_STORE is NULL then and CLI_GOOD is returned. */
int history_open_if_any(struct eh_store **out_store, const char *db);

#endif
