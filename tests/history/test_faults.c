/* Every request that SQLite makes of the disk fails once; the caller gives the same chunk again. */
#include <criterion/criterion.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

#include "failing_vfs.h"
#include "support.h"

enum { HITS = 30, CLICKS = 6 };

static const char *now; /* what is being tried, for the words of a failed assertion */

static int failures;

/* True when the call must be made again. Whatever fails says so in a clear sentence. */
static bool again(enum eh_status status, const struct eh_error *error) {
    if (status == EH_OK) {
        return false;
    }
    cr_assert(status == EH_IO_FAILED || status == EH_NO_ACCESS || status == EH_BUSY ||
                  status == EH_DAMAGED,
              "%s: %s (%s)", now, eh_status_text(status), error->text);
    cr_assert_eq(error->status, status, "%s", now);
    cr_assert_gt(strlen(error->text), 10, "%s", now);
    failures++;
    cr_assert_lt(failures, 12, "%s: it never recovers (%s)", now, error->text);
    return true;
}

static struct eh_store *open_until_it_works(const char *path) {
    struct eh_store *store = NULL;
    struct eh_error error;
    while (again(eh_store_open(&store, path, EH_STORE_WRITE, &error), &error)) {
        cr_assert_null(store);
    }
    return store;
}

/* A whole practice; returns its run. */
static int64_t practise(const char *path) {
    struct eh_store *store = open_until_it_works(path);
    const struct eh_run_info info = plain_info();
    const struct eh_run_verdict verdict = {.version = 1, .json = "{}", .headline = "fine"};
    struct eh_hit hits[HITS];
    int64_t run = 0;
    even_hits(hits, HITS);
    while (again(eh_store_run_begin(store, &info, &run), eh_store_error(store))) {
        cr_assert_eq(run, 0);
    }
    for (int i = 0; i < CLICKS; i++) {
        const struct eh_run_click click = {.at = i * 20160, .at_ns = i * INT64_C(500000000)};
        const size_t n = HITS / CLICKS;
        while (again(eh_store_run_add_hits(store, run, hits + (size_t)i * n, n),
                     eh_store_error(store))) {
        }
        while (again(eh_store_run_add_clicks(store, run, &click, 1), eh_store_error(store))) {
        }
    }
    while (again(eh_store_run_set_judgement(store, run, &verdict), eh_store_error(store))) {
    }
    while (again(eh_store_run_end(store, run, EH_RUN_COMPLETE, 0), eh_store_error(store))) {
    }
    struct eh_run loaded;
    struct eh_error error;
    while (again(eh_store_run_load(store, run, &loaded, &error), &error)) {
        cr_assert_null(loaded.memory);
    }
    eh_run_deinit(&loaded);
    eh_store_close(store);
    return run;
}

static void assert_whole(const char *path, int64_t number) {
    struct eh_store *store = open_or_fail(path, EH_STORE_WRITE);
    struct eh_error error = {0};
    struct eh_hit hits[HITS];
    struct eh_run run;
    even_hits(hits, HITS);
    cr_assert_eq(eh_store_check(store, &error), EH_OK, "%s: %s", now, error.text);
    cr_assert_eq(eh_store_run_load(store, number, &run, &error), EH_OK, "%s: %s", now, error.text);
    cr_assert_eq(run.take.count, HITS, "%s: %zu hits", now, run.take.count);
    cr_assert_eq(run.click_count, CLICKS, "%s: %zu clicks", now, run.click_count);
    for (size_t i = 0; i < HITS; i++) {
        cr_assert_eq(run.take.hits[i].at_ns, hits[i].at_ns, "%s", now);
    }
    cr_assert_eq(run.ended, EH_RUN_COMPLETE, "%s", now);
    cr_assert(run.judged, "%s", now);
    eh_run_deinit(&run);
    eh_store_close(store);
}

static void fail_each(const char *name, enum failing_kind kind, int code, bool new_file) {
    char words[96];
    int requests = 1;
    int failed = 0;
    for (int nth = 1; nth <= requests; nth++) {
        const struct folder folder = folder_make();
        now = words;
        (void)snprintf(words, sizeof words, "%s number %d (%s file)", name, nth,
                       new_file ? "new" : "old");
        failures = 0;
        failing_vfs_plan(kind, 0, 0, 0);
        if (!new_file) {
            eh_store_close(open_or_fail(folder.db, EH_STORE_WRITE));
        }
        failing_vfs_plan(kind, nth, 1, code);
        const int64_t run = practise(folder.db);
        requests = failing_vfs_count(kind);
        failing_vfs_plan(kind, 0, 0, 0);
        failed += failures;
        assert_whole(folder.db, run);
        folder_remove(&folder);
    }
    cr_assert_gt(requests, 1, "%s never happens", name);
    cr_assert_gt(failed, 0, "%s is never felt", name);
}

static const struct {
    const char *name;
    enum failing_kind kind;
    int code;
} faults[] = {
    {"a full disk", FAIL_WRITE, SQLITE_FULL},
    {"a failed write", FAIL_WRITE, SQLITE_IOERR_WRITE},
    {"a failed wait for the disk", FAIL_SYNC, SQLITE_IOERR_FSYNC},
    {"a failed read", FAIL_READ, SQLITE_IOERR_READ},
    {"a failed size", FAIL_SIZE, SQLITE_IOERR_FSTAT},
    {"a failed open", FAIL_OPEN, SQLITE_CANTOPEN},
    {"a failed lock", FAIL_LOCK, SQLITE_IOERR_LOCK},
    {"a failed shared memory", FAIL_SHM_MAP, SQLITE_IOERR_SHMMAP},
    {"a failed lock in shared memory", FAIL_SHM_LOCK, SQLITE_IOERR_SHMLOCK},
};

Test(history_faults, each_failing_request_of_the_disk_is_survived_in_a_new_file, .timeout = 120) {
    failing_vfs_install();
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++) {
        fail_each(faults[i].name, faults[i].kind, faults[i].code, true);
    }
}

Test(history_faults, each_failing_request_of_the_disk_is_survived_in_an_old_file, .timeout = 120) {
    failing_vfs_install();
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++) {
        fail_each(faults[i].name, faults[i].kind, faults[i].code, false);
    }
}

/* The system's own limit on the size of a file; nothing stands between. */
static int play_until_the_disk_is_full(const char *path) {
    struct eh_store *store = NULL;
    struct eh_error error;
    const struct eh_run_info info = plain_info();
    struct eh_hit hits[HITS];
    int64_t run = 0;
    size_t stored = 0;
    struct rlimit limit;
    even_hits(hits, HITS);
    if (signal(SIGXFSZ, SIG_IGN) == SIG_ERR ||
        eh_store_open(&store, path, EH_STORE_WRITE, &error) != EH_OK ||
        eh_store_run_begin(store, &info, &run) != EH_OK || getrlimit(RLIMIT_FSIZE, &limit) != 0) {
        return 1;
    }
    const rlim_t unlimited = limit.rlim_cur;
    limit.rlim_cur = 200000;
    if (setrlimit(RLIMIT_FSIZE, &limit) != 0) {
        return 2;
    }
    enum eh_status status;
    while ((status = eh_store_run_add_hits(store, run, hits, HITS)) == EH_OK && stored < 100000) {
        stored += HITS;
    }
    if (status != EH_IO_FAILED || stored == 0) {
        (void)fprintf(stderr, "%s (%s)\n", eh_status_text(status), eh_store_error(store)->text);
        return 3;
    }
    limit.rlim_cur = unlimited;
    if (setrlimit(RLIMIT_FSIZE, &limit) != 0 ||
        eh_store_run_add_hits(store, run, hits, HITS) != EH_OK) {
        return 4;
    }
    stored += HITS;
    struct eh_run loaded;
    if (eh_store_run_load(store, run, &loaded, &error) != EH_OK || loaded.take.count != stored ||
        eh_store_check(store, &error) != EH_OK) {
        return 5;
    }
    eh_run_deinit(&loaded);
    eh_store_close(store);
    return 0;
}

Test(history_faults, a_full_disk_costs_nothing_once_there_is_room_again) {
    const struct folder folder = folder_make();
    const pid_t child = fork();
    if (child == 0) {
        _exit(play_until_the_disk_is_full(folder.db));
    }
    cr_assert_eq(child_wait(child), 0);
    folder_remove(&folder);
}

static int copy_without_room(const char *path, const char *copy) {
    struct eh_store *store = NULL;
    struct eh_error error = {0};
    const struct rlimit limit = {.rlim_cur = 20000, .rlim_max = RLIM_INFINITY};
    if (signal(SIGXFSZ, SIG_IGN) == SIG_ERR ||
        eh_store_open(&store, path, EH_STORE_READ, &error) != EH_OK ||
        setrlimit(RLIMIT_FSIZE, &limit) != 0) {
        return 1;
    }
    const enum eh_status status = eh_store_copy(store, copy, &error);
    eh_store_close(store);
    if (status != EH_IO_FAILED || error.text[0] == '\0') {
        (void)fprintf(stderr, "%s (%s)\n", eh_status_text(status), error.text);
        return 2;
    }
    return file_exists(copy) ? 3 : 0;
}

Test(history_faults, a_copy_that_fails_half_way_is_removed) {
    const struct folder folder = folder_make();
    char copy[128];
    (void)snprintf(copy, sizeof copy, "%s/copy.db", folder.path);
    now = "the copied run";
    const int64_t run = practise(folder.db);
    const pid_t child = fork();
    if (child == 0) {
        _exit(copy_without_room(folder.db, copy));
    }
    cr_assert_eq(child_wait(child), 0);
    assert_whole(folder.db, run);
    folder_remove(&folder);
}

static int64_t milliseconds(void) {
    struct timespec t;
    cr_assert_eq(clock_gettime(CLOCK_MONOTONIC, &t), 0);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

Test(history_faults, while_another_writes_an_append_gives_up_soon_and_can_be_repeated) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const struct eh_run_info info = plain_info();
    struct eh_hit hits[HITS];
    int64_t run = 0;
    sqlite3 *other = NULL;
    even_hits(hits, HITS);
    cr_assert_eq(eh_store_run_begin(store, &info, &run), EH_OK);
    cr_assert_eq(sqlite3_open(folder.db, &other), SQLITE_OK);
    cr_assert_eq(sqlite3_exec(other, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    const int64_t start = milliseconds();
    cr_assert_eq(eh_store_run_add_hits(store, run, hits, HITS), EH_BUSY);
    cr_assert_lt(milliseconds() - start, 1000);
    cr_assert_not_null(strstr(eh_store_error(store)->text, "another program"));
    struct eh_run loaded;
    cr_assert_eq(eh_store_run_load(store, run, &loaded, NULL), EH_OK, "reading goes on");
    cr_assert_eq(loaded.take.count, 0);
    eh_run_deinit(&loaded);
    cr_assert_eq(sqlite3_exec(other, "COMMIT", NULL, NULL, NULL), SQLITE_OK);
    cr_assert_eq(sqlite3_close(other), SQLITE_OK);
    cr_assert_eq(eh_store_run_add_hits(store, run, hits, HITS), EH_OK);
    eh_store_close(store);
    folder_remove(&folder);
}

/* The file's own rules, held against another program that writes into it. */
Test(history_faults, the_file_itself_refuses_values_that_make_no_sense) {
    const struct folder folder = folder_make();
    eh_store_close(open_or_fail(folder.db, EH_STORE_WRITE));
    static const char *const statements[] = {
        "INSERT INTO hit VALUES (1, 0, 0, 70000, 38, 0)",
        "INSERT INTO hit VALUES (1, 0, 0, 512, 128, 0)",
        "INSERT INTO hit VALUES (1, 0, 0, 512, 38, 16)",
        "INSERT INTO hit VALUES (1, 0, 'soon', 512, 38, 0)",
        "INSERT INTO hit VALUES (1, -1, 0, 512, 38, 0)",
        "INSERT INTO hit VALUES (99, 0, 0, 512, 38, 0)",
        "INSERT INTO click VALUES (99, 0, 0, 0)",
        "INSERT INTO metre VALUES (1, 0, 0, 0, 4)",
        "UPDATE run SET ended = 'perhaps'",
        "UPDATE run SET tempo_bpm = 0.5",
        "UPDATE run SET exercise_sheet = 99",
        "DELETE FROM sheet",
    };
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const struct eh_run_info info = plain_info();
    int64_t run = 0;
    cr_assert_eq(eh_store_run_begin(store, &info, &run), EH_OK);
    eh_store_close(store);
    sqlite3 *other = NULL;
    cr_assert_eq(sqlite3_open(folder.db, &other), SQLITE_OK);
    cr_assert_eq(sqlite3_exec(other, "PRAGMA foreign_keys = ON", NULL, NULL, NULL), SQLITE_OK);
    for (size_t i = 0; i < sizeof statements / sizeof statements[0]; i++) {
        cr_assert_eq(sqlite3_exec(other, statements[i], NULL, NULL, NULL), SQLITE_CONSTRAINT, "%s",
                     statements[i]);
    }
    cr_assert_eq(
        sqlite3_exec(other, "INSERT INTO hit VALUES (1, 0, 0, 65535, 127, 15)", NULL, NULL, NULL),
        SQLITE_OK);
    cr_assert_eq(sqlite3_close(other), SQLITE_OK);
    folder_remove(&folder);
}

/* What a careless hand can do to the file all the same is noticed when the run is loaded. */
Test(history_faults, a_run_whose_parts_do_not_fit_is_called_damaged) {
    static const struct {
        const char *sql, *words;
    } cases[] = {
        {"DELETE FROM hit WHERE number = 3", "its hits"},
        {"DELETE FROM click WHERE number = 0", "its clicks"},
        {"UPDATE click SET at_ns = 9223372036854775807", "its clicks"},
        {"UPDATE run SET zero_ns = 9223372036854775807", "its clock"},
        {"DELETE FROM sheet WHERE text LIKE 'title%'", "a text is missing"},
        {"PRAGMA ignore_check_constraints = ON; UPDATE hit SET note = 300 WHERE number = 2",
         "its hits"},
        {"PRAGMA ignore_check_constraints = ON; UPDATE run SET source = 'dream'",
         "a value that makes no sense"},
        {"PRAGMA ignore_check_constraints = ON; UPDATE run SET tempo_bpm = -1",
         "a value that makes no sense"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const struct folder folder = folder_make();
        struct eh_error error = {0};
        now = "the hand";
        const int64_t number = practise(folder.db);
        sqlite3 *other = NULL;
        cr_assert_eq(sqlite3_open(folder.db, &other), SQLITE_OK);
        cr_assert_eq(sqlite3_exec(other, cases[i].sql, NULL, NULL, NULL), SQLITE_OK, "%s",
                     sqlite3_errmsg(other));
        cr_assert_eq(sqlite3_close(other), SQLITE_OK);
        struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
        struct eh_run run;
        cr_assert_eq(eh_store_run_load(store, number, &run, &error), EH_DAMAGED, "%s",
                     cases[i].sql);
        cr_assert_not_null(strstr(error.text, cases[i].words), "%s: %s", cases[i].sql, error.text);
        cr_assert_eq(eh_store_run_delete(store, number, &error), EH_OK, "%s", error.text);
        eh_store_close(store);
        folder_remove(&folder);
    }
}
