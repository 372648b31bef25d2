#include "db.h"

#include <errno.h>
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "db_path.h"

struct eh_query {
    struct eh_db *db;
    sqlite3_stmt *stmt;
    int failed; /* the first SQLite code that a binding or a column gave; else SQLITE_OK */
};

enum { BEGIN_READ, BEGIN_WRITE, COMMIT, ROLLBACK, TRANSACTION_WORDS };

struct eh_db {
    sqlite3 *sqlite;
    sqlite3_stmt *transaction[TRANSACTION_WORDS];
    struct eh_query *queries;
    size_t query_count;
    struct eh_error error;
};

/* Journal pages after which a commit itself moves them into the file. A practice moves them when a
 * run ends, so that no append waits for the disk; this only bounds the journal (32 MB) should a run
 * last for hours. */
#define CHECKPOINT_PAGES "8000"

/* One page of the smallest size that the file format knows. */
enum { SMALLEST_FILE = 512 };

struct eh_error *eh_db_error(struct eh_db *db) {
    return &db->error;
}

static enum eh_status fail_writing_or_busy(struct eh_error *error, int code) {
    switch (code & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
    case SQLITE_PROTOCOL:
        return eh_fail(error, EH_BUSY,
                       "another program is writing the history; try again when it has finished");
    case SQLITE_FULL:
        return eh_fail(error, EH_IO_FAILED, "the disk is full; free some space and try again");
    default:
        return eh_fail(error, EH_NO_ACCESS,
                       "the history can only be read; look at the rights of the file and its "
                       "folder");
    }
}

/* The folder was seen before, so what does not exist was to be created in it. */
static enum eh_status fail_opening(struct eh_db *db) {
    const int reason = sqlite3_system_errno(db->sqlite);
    if (reason == 0 || reason == ENOENT) {
        return eh_fail(&db->error, EH_NO_ACCESS,
                       "the history, or a file beside it, cannot be created or opened; look at the "
                       "rights of its folder");
    }
    return eh_db_path_fail(&db->error, reason);
}

/* One sentence for what SQLite said. */
static enum eh_status fail(struct eh_db *db, int code) {
    struct eh_error *error = &db->error;
    switch (code & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
    case SQLITE_PROTOCOL: /* many programs opened the journal at the same moment */
    case SQLITE_FULL:
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
        return fail_writing_or_busy(error, code);
    case SQLITE_NOMEM:
        return eh_fail(error, EH_NO_MEMORY, "out of memory");
    case SQLITE_TOOBIG:
        return eh_fail(error, EH_TOO_LARGE, "a text is too large for the history");
    case SQLITE_CONSTRAINT:
        return eh_fail(error, EH_OUT_OF_RANGE, "the history refuses a value: %s",
                       sqlite3_errmsg(db->sqlite));
    case SQLITE_NOTADB:
        return eh_fail(error, EH_DAMAGED, "not a history: the file is no SQLite database");
    case SQLITE_CORRUPT:
    case SQLITE_SCHEMA:
    case SQLITE_ERROR: /* a statement that does not fit the tables */
        return eh_fail(error, EH_DAMAGED,
                       "the history is damaged (%s); put back a copy, or save what is left with "
                       "\"sqlite3 FILE .clone NEWFILE\"",
                       sqlite3_errmsg(db->sqlite));
    case SQLITE_CANTOPEN:
        return fail_opening(db);
    default:
        if (code == SQLITE_IOERR_NOMEM) {
            return eh_fail(error, EH_NO_MEMORY, "out of memory");
        }
        return eh_fail(error, EH_IO_FAILED,
                       "the history cannot be read or written (%s, code %d); look at the disk",
                       sqlite3_errmsg(db->sqlite), code);
    }
}

static enum eh_status result(struct eh_db *db, int code) {
    return code == SQLITE_OK || code == SQLITE_DONE || code == SQLITE_ROW ? EH_OK : fail(db, code);
}

/* A database may come from anybody: nothing in it may call functions or touch its own tables'
 * inner workings. */
static void distrust(sqlite3 *sqlite) {
    (void)sqlite3_extended_result_codes(sqlite, 1);
    (void)sqlite3_busy_timeout(sqlite, EH_DB_PATIENT_MS);
    (void)sqlite3_db_config(sqlite, SQLITE_DBCONFIG_ENABLE_FKEY, 1, (int *)NULL);
    (void)sqlite3_db_config(sqlite, SQLITE_DBCONFIG_DEFENSIVE, 1, (int *)NULL);
    (void)sqlite3_db_config(sqlite, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, (int *)NULL);
    (void)sqlite3_db_config(sqlite, SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, 0, (int *)NULL);
}

/* Opening alone touches nothing; the first look at the tables does. */
static int open_and_look(struct eh_db *db, const char *name, int flags) {
    (void)sqlite3_close(db->sqlite);
    db->sqlite = NULL;
    int code = sqlite3_open_v2(name, &db->sqlite, flags | SQLITE_OPEN_NOMUTEX, NULL);
    if (code != SQLITE_OK) {
        return code;
    }
    distrust(db->sqlite);
    return sqlite3_exec(db->sqlite, "PRAGMA cell_size_check = ON; SELECT 1 FROM sqlite_schema",
                        NULL, NULL, NULL);
}

/* A journalled file wants a shared memory file beside it, which a read-only folder does not allow.
 * When the journal is empty the file alone is complete and can be read without either. */
static int look_without_journal(struct eh_db *db, const char *path, int code) {
    const bool stuck = (code & 0xff) == SQLITE_READONLY || (code & 0xff) == SQLITE_CANTOPEN;
    if (!stuck || sqlite3_system_errno(db->sqlite) == EMFILE || eh_db_path_has_journal(path)) {
        return code;
    }
    struct eh_text uri = {0};
    eh_db_path_immutable(&uri, path);
    const int again = uri.failed ? SQLITE_NOMEM
                                 : open_and_look(db, eh_text_string(&uri),
                                                 SQLITE_OPEN_READONLY | SQLITE_OPEN_URI);
    eh_text_deinit(&uri);
    return again;
}

static enum eh_status refuse_open(struct eh_db *db, const char *path, int code) {
    const bool stuck = (code & 0xff) == SQLITE_READONLY || (code & 0xff) == SQLITE_CANTOPEN;
    const int reason = sqlite3_system_errno(db->sqlite);
    if (stuck && reason != EMFILE && access(path, R_OK) == 0 && eh_db_path_has_journal(path)) {
        return eh_fail(&db->error, EH_NO_ACCESS,
                       "the history was not closed properly and its folder cannot be written; copy "
                       "the file and the one ending in -wal into a folder of your own");
    }
    return fail(db, code);
}

static enum eh_status open_file(struct eh_db *db, const char *path, enum eh_db_mode mode) {
    long long size = -1;
    enum eh_status status = eh_db_path_look(path, &size, &db->error);
    if (status != EH_OK) {
        return status;
    }
    /* SQLite would take a file of one byte for an empty one, and write into it. */
    if (size > 0 && size < SMALLEST_FILE) {
        return fail(db, SQLITE_NOTADB);
    }
    if (size < 0 && mode == EH_DB_READ) {
        return eh_fail(&db->error, EH_NOT_FOUND, "there is no history yet: no run has been played");
    }
    struct eh_text plain = {0};
    eh_db_path_plain(&plain, path);
    int code = SQLITE_NOMEM;
    if (!plain.failed) {
        const int create = mode == EH_DB_WRITE ? SQLITE_OPEN_CREATE : 0;
        code = open_and_look(db, eh_text_string(&plain), SQLITE_OPEN_READWRITE | create);
    }
    eh_text_deinit(&plain);
    if (code != SQLITE_OK && mode == EH_DB_READ) {
        code = look_without_journal(db, path, code);
    }
    return code == SQLITE_OK ? EH_OK : refuse_open(db, path, code);
}

static enum eh_status prepare(struct eh_db *db, const char *sql, sqlite3_stmt **out_stmt) {
    return result(
        db, sqlite3_prepare_v3(db->sqlite, sql, -1, SQLITE_PREPARE_PERSISTENT, out_stmt, NULL));
}

static enum eh_status prepare_transactions(struct eh_db *db) {
    static const char *const words[TRANSACTION_WORDS] = {"BEGIN", "BEGIN IMMEDIATE", "COMMIT",
                                                         "ROLLBACK"};
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < TRANSACTION_WORDS && status == EH_OK; i++) {
        status = prepare(db, words[i], &db->transaction[i]);
    }
    return status;
}

enum eh_status eh_db_open(struct eh_db **out_db, const char *path, enum eh_db_mode mode,
                          struct eh_error *error) {
    *out_db = NULL;
    struct eh_db *db = calloc(1, sizeof *db);
    if (db == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "out of memory");
    }
    eh_error_clear(&db->error);
    enum eh_status status = open_file(db, path, mode);
    if (status == EH_OK) {
        status = prepare_transactions(db);
    }
    if (status != EH_OK) {
        if (error != NULL) {
            *error = db->error;
        }
        eh_db_close(db);
        return status;
    }
    *out_db = db;
    return EH_OK;
}

void eh_db_close(struct eh_db *db) {
    if (db == NULL) {
        return;
    }
    for (size_t i = 0; i < db->query_count; i++) {
        (void)sqlite3_finalize(db->queries[i].stmt);
    }
    for (size_t i = 0; i < TRANSACTION_WORDS; i++) {
        (void)sqlite3_finalize(db->transaction[i]);
    }
    free(db->queries);
    (void)sqlite3_close(db->sqlite);
    free(db);
}

bool eh_db_is_read_only(const struct eh_db *db) {
    return sqlite3_db_readonly(db->sqlite, "main") == 1;
}

enum eh_status eh_db_script(struct eh_db *db, const char *sql) {
    return result(db, sqlite3_exec(db->sqlite, sql, NULL, NULL, NULL));
}

enum eh_status eh_db_number(struct eh_db *db, const char *sql, int64_t *out_number) {
    sqlite3_stmt *stmt = NULL;
    enum eh_status status = prepare(db, sql, &stmt);
    if (status == EH_OK) {
        const int code = sqlite3_step(stmt);
        *out_number = code == SQLITE_ROW ? sqlite3_column_int64(stmt, 0) : 0;
        status = result(db, code);
    }
    (void)sqlite3_finalize(stmt);
    return status;
}

/* Two programs that create the same file at once: SQLite reports the loser busy without waiting,
 * since waiting could block both for ever. */
static int switch_to_wal(sqlite3 *sqlite) {
    const struct timespec pause = {.tv_nsec = 10000000};
    int code = SQLITE_BUSY;
    for (int tries = EH_DB_PATIENT_MS / 10; tries > 0 && (code & 0xff) == SQLITE_BUSY; tries--) {
        code = sqlite3_exec(sqlite, "PRAGMA journal_mode = WAL", NULL, NULL, NULL);
        if ((code & 0xff) == SQLITE_BUSY) {
            (void)nanosleep(&pause, NULL);
        }
    }
    return code;
}

static int note_mode(void *is_wal, int columns, char **values, char **names) {
    (void)names;
    *(bool *)is_wal = columns > 0 && values[0] != NULL && strcmp(values[0], "wal") == 0;
    return 0;
}

enum eh_status eh_db_use_wal(struct eh_db *db) {
    enum eh_status status = result(db, switch_to_wal(db->sqlite));
    bool is_wal = false;
    if (status == EH_OK) {
        status =
            result(db, sqlite3_exec(db->sqlite, "PRAGMA journal_mode", note_mode, &is_wal, NULL));
    }
    if (status != EH_OK) {
        return status;
    }
    /* Some network folders know no shared memory: SQLite keeps its old journal there, which is
     * safe only when each commit waits for the disk. */
    return eh_db_script(db, is_wal ? "PRAGMA synchronous = NORMAL;"
                                     "PRAGMA wal_autocheckpoint = " CHECKPOINT_PAGES
                                   : "PRAGMA synchronous = FULL");
}

enum eh_status eh_db_forbid_writing(struct eh_db *db, bool forbid) {
    return eh_db_script(db, forbid ? "PRAGMA query_only = ON" : "PRAGMA query_only = OFF");
}

enum eh_status eh_db_checkpoint(struct eh_db *db) {
    const int code =
        sqlite3_wal_checkpoint_v2(db->sqlite, NULL, SQLITE_CHECKPOINT_PASSIVE, NULL, NULL);
    return (code & 0xff) == SQLITE_BUSY ? EH_OK : result(db, code);
}

enum eh_status eh_db_prepare(struct eh_db *db, const char *const *sql, size_t count) {
    db->queries = calloc(count, sizeof *db->queries);
    if (db->queries == NULL) {
        return eh_fail(&db->error, EH_NO_MEMORY, "out of memory");
    }
    db->query_count = count;
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < count && status == EH_OK; i++) {
        db->queries[i].db = db;
        status = prepare(db, sql[i], &db->queries[i].stmt);
    }
    return status;
}

static int run_word(struct eh_db *db, size_t word) {
    (void)sqlite3_step(db->transaction[word]);
    return sqlite3_reset(db->transaction[word]);
}

/* After some failures (disk full) SQLite has rolled back by itself; without memory it may not be
 * able to, and is asked again before the next transaction. */
static void roll_back(struct eh_db *db) {
    if (!sqlite3_get_autocommit(db->sqlite)) {
        (void)run_word(db, ROLLBACK);
    }
}

enum eh_status eh_db_begin_write(struct eh_db *db, int wait_ms) {
    roll_back(db);
    (void)sqlite3_busy_timeout(db->sqlite, wait_ms);
    return result(db, run_word(db, BEGIN_WRITE));
}

enum eh_status eh_db_begin_read(struct eh_db *db) {
    roll_back(db);
    (void)sqlite3_busy_timeout(db->sqlite, EH_DB_PATIENT_MS);
    return result(db, run_word(db, BEGIN_READ));
}

enum eh_status eh_db_finish(struct eh_db *db, enum eh_status status) {
    if (status == EH_OK) {
        status = result(db, run_word(db, COMMIT));
    }
    if (status != EH_OK) {
        roll_back(db);
    }
    return status;
}

struct eh_query *eh_db_query(struct eh_db *db, size_t index) {
    struct eh_query *query = &db->queries[index];
    eh_query_rest(query);
    query->failed = SQLITE_OK;
    return query;
}

static void note(struct eh_query *query, int code) {
    if (query->failed == SQLITE_OK) {
        query->failed = code;
    }
}

void eh_query_int(struct eh_query *query, int slot, int64_t value) {
    note(query, sqlite3_bind_int64(query->stmt, slot, value));
}

void eh_query_real(struct eh_query *query, int slot, double value) {
    note(query, sqlite3_bind_double(query->stmt, slot, value));
}

void eh_query_text(struct eh_query *query, int slot, const char *text) {
    note(query, sqlite3_bind_text(query->stmt, slot, text == NULL ? "" : text, -1, SQLITE_STATIC));
}

void eh_query_null(struct eh_query *query, int slot) {
    note(query, sqlite3_bind_null(query->stmt, slot));
}

enum eh_status eh_query_step(struct eh_query *query, bool *out_row) {
    *out_row = false;
    int code = query->failed;
    if (code == SQLITE_OK) {
        code = sqlite3_step(query->stmt);
    }
    if (code == SQLITE_ROW) {
        *out_row = true;
        return EH_OK;
    }
    const enum eh_status status = result(query->db, code);
    eh_query_rest(query);
    return status;
}

void eh_query_rest(struct eh_query *query) {
    (void)sqlite3_reset(query->stmt);
    (void)sqlite3_clear_bindings(query->stmt);
}

enum eh_status eh_query_run(struct eh_query *query, int *out_changes) {
    bool row = false;
    const enum eh_status status = eh_query_step(query, &row);
    if (out_changes != NULL) {
        *out_changes = status == EH_OK ? sqlite3_changes(query->db->sqlite) : 0;
    }
    eh_query_rest(query);
    return status;
}

int64_t eh_column_int(struct eh_query *query, int column) {
    return sqlite3_column_int64(query->stmt, column);
}

double eh_column_real(struct eh_query *query, int column) {
    return sqlite3_column_double(query->stmt, column);
}

const char *eh_column_text(struct eh_query *query, int column) {
    const unsigned char *text = sqlite3_column_text(query->stmt, column);
    if (text == NULL && sqlite3_column_type(query->stmt, column) != SQLITE_NULL) {
        note(query, SQLITE_NOMEM);
    }
    return text == NULL ? "" : (const char *)text;
}

bool eh_column_is_null(struct eh_query *query, int column) {
    return sqlite3_column_type(query->stmt, column) == SQLITE_NULL;
}

int64_t eh_db_last_row(const struct eh_db *db) {
    return sqlite3_last_insert_rowid(db->sqlite);
}
