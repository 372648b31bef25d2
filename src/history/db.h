/* The one door to SQLite: no other file knows its header.
 *
 * A database keeps its statements prepared and its last failure in words. Values are always
 * bound. One thread at a time. */
#ifndef EVENHAND_HISTORY_DB_H
#define EVENHAND_HISTORY_DB_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/status.h"

struct eh_db;
struct eh_query;

enum eh_db_mode { EH_DB_READ, EH_DB_WRITE };

/* How long to wait for another writer: a command can wait, a practice that is running cannot. */
enum { EH_DB_PATIENT_MS = 3000, EH_DB_HASTY_MS = 50 };

/* Opens (WRITE: or creates) the file and makes sure that its first page can be read; nothing in it
 * is changed. */
EH_MUST_USE enum eh_status eh_db_open(struct eh_db **out_db, const char *path, enum eh_db_mode mode,
                                      struct eh_error *error);
void eh_db_close(struct eh_db *db);

/* The last failure. */
struct eh_error *eh_db_error(struct eh_db *db);

/* True when the file can be read only. */
bool eh_db_is_read_only(const struct eh_db *db);

/* Write-ahead journal, and how it is to behave; creates the first page of an empty file. */
EH_MUST_USE enum eh_status eh_db_use_wal(struct eh_db *db);

/* Forbids (allows) statements that change anything. */
EH_MUST_USE enum eh_status eh_db_forbid_writing(struct eh_db *db, bool forbid);

/* Moves what the journal holds into the file and waits for the disk, as far as readers let it. */
EH_MUST_USE enum eh_status eh_db_checkpoint(struct eh_db *db);

/* Runs SQL that has nothing to bind (schema steps, pragmas), and reads the one number that a
 * statement gives. */
EH_MUST_USE enum eh_status eh_db_script(struct eh_db *db, const char *sql);
EH_MUST_USE enum eh_status eh_db_number(struct eh_db *db, const char *sql, int64_t *out_number);

/* Prepares COUNT statements, which are then known by their index. A statement that does not fit
 * the schema means EH_DAMAGED. */
EH_MUST_USE enum eh_status eh_db_prepare(struct eh_db *db, const char *const *sql, size_t count);

/* A transaction; a write takes its lock at the beginning, waiting up to WAIT_MS. */
EH_MUST_USE enum eh_status eh_db_begin_write(struct eh_db *db, int wait_ms);
EH_MUST_USE enum eh_status eh_db_begin_read(struct eh_db *db);

/* Ends it: commits when STATUS is EH_OK, else rolls back. Returns STATUS, or why the commit
 * failed; nothing was written then. */
EH_MUST_USE enum eh_status eh_db_finish(struct eh_db *db, enum eh_status status);

/* The statement, ready to be bound. Slots count from 1. A failed binding is reported by the next
 * step. Texts must live until the statement is used again; NULL is "". */
struct eh_query *eh_db_query(struct eh_db *db, size_t index);
void eh_query_int(struct eh_query *query, int slot, int64_t value);
void eh_query_real(struct eh_query *query, int slot, double value);
void eh_query_text(struct eh_query *query, int slot, const char *text);
void eh_query_null(struct eh_query *query, int slot);

/* Runs a statement that gives no row; *OUT_CHANGES (NULL is accepted): how many rows it changed. */
EH_MUST_USE enum eh_status eh_query_run(struct eh_query *query, int *out_changes);

/* The next row, if any. After the last one, or a failure, the statement is at rest; who stops
 * earlier calls eh_query_rest. Columns count from 0; a text lives until the next step and is never
 * NULL (a lack of memory is reported by the next step). */
EH_MUST_USE enum eh_status eh_query_step(struct eh_query *query, bool *out_row);
void eh_query_rest(struct eh_query *query);
int64_t eh_column_int(struct eh_query *query, int column);
double eh_column_real(struct eh_query *query, int column);
const char *eh_column_text(struct eh_query *query, int column);
bool eh_column_is_null(struct eh_query *query, int column);

/* The number of the row inserted last. */
int64_t eh_db_last_row(const struct eh_db *db);

#endif
