/* What is opened, what is refused, and that a refused file is left as it is. */
#include <criterion/criterion.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "support.h"

/* A history of one run of HITS hits, closed. */
static void make_history(const char *path, size_t hit_count) {
    struct eh_store *store = open_or_fail(path, EH_STORE_WRITE);
    const struct eh_run_info info = plain_info();
    struct eh_hit *hits = calloc(hit_count + 1, sizeof *hits);
    int64_t run = 0;
    even_hits(hits, hit_count);
    cr_assert_eq(eh_store_run_begin(store, &info, &run), EH_OK);
    cr_assert_eq(eh_store_run_add_hits(store, run, hits, hit_count), EH_OK);
    cr_assert_eq(eh_store_run_end(store, run, EH_RUN_COMPLETE, 0), EH_OK);
    eh_store_close(store);
    free(hits);
}

static void refuse(const char *path, enum eh_store_mode mode, enum eh_status expected,
                   const char *words) {
    struct eh_store *store = (struct eh_store *)1;
    struct eh_error error = {0};
    const enum eh_status status = eh_store_open(&store, path, mode, &error);
    cr_assert_eq(status, expected, "%s: %s (%s), expected %s", path, eh_status_text(status),
                 error.text, eh_status_text(expected));
    cr_assert_eq(error.status, expected);
    cr_assert_null(store);
    cr_assert_not_null(strstr(error.text, words), "\"%s\" lacks \"%s\"", error.text, words);
    cr_assert_null(strchr(error.text, '\n'));
}

/* The same in both modes; the file stays as it is and gets no neighbours. */
static void refuse_untouched(const struct folder *folder, enum eh_status expected,
                             const char *words) {
    size_t size = 0;
    unsigned char *before = file_read(folder->db, &size);
    char wal[128];
    (void)snprintf(wal, sizeof wal, "%s-wal", folder->db);
    for (int mode = EH_STORE_READ; mode <= EH_STORE_WRITE; mode++) {
        refuse(folder->db, (enum eh_store_mode)mode, expected, words);
        cr_assert(file_equals(folder->db, before, size), "the file was changed (mode %d)", mode);
        cr_assert(!file_exists(wal));
    }
    free(before);
}

Test(history_open, reading_creates_nothing) {
    const struct folder folder = folder_make();
    refuse(folder.db, EH_STORE_READ, EH_NOT_FOUND, "there is no history yet");
    cr_assert(!file_exists(folder.db));
    file_write(folder.db, "", 0);
    refuse(folder.db, EH_STORE_READ, EH_NOT_FOUND, "there is no history yet");
    cr_assert(file_equals(folder.db, NULL, 0));
    eh_store_close(open_or_fail(folder.db, EH_STORE_WRITE));
    eh_store_close(open_or_fail(folder.db, EH_STORE_READ));
    eh_store_close(NULL);
    folder_remove(&folder);
}

Test(history_open, closing_leaves_one_file_whoever_closes_last) {
    const struct folder folder = folder_make();
    char neighbour[128];
    make_history(folder.db, 3);
    for (int mode = EH_STORE_READ; mode <= EH_STORE_WRITE; mode++) {
        struct eh_store *writer = open_or_fail(folder.db, EH_STORE_WRITE);
        struct eh_store *reader = open_or_fail(folder.db, EH_STORE_READ);
        struct eh_run_list list;
        cr_assert_eq(eh_store_runs(reader, NULL, &list, NULL), EH_OK);
        cr_assert_eq(list.count, 1);
        eh_run_list_deinit(&list);
        eh_store_close(mode == EH_STORE_READ ? writer : reader);
        eh_store_close(mode == EH_STORE_READ ? reader : writer);
        const char *const endings[] = {"-wal", "-shm", "-journal"};
        for (size_t i = 0; i < 3; i++) {
            (void)snprintf(neighbour, sizeof neighbour, "%s%s", folder.db, endings[i]);
            cr_assert(!file_exists(neighbour), "%s", neighbour);
        }
    }
    folder_remove(&folder);
}

Test(history_open, a_folder_a_device_and_a_missing_folder_are_refused) {
    const struct folder folder = folder_make();
    for (int m = EH_STORE_READ; m <= EH_STORE_WRITE; m++) {
        const enum eh_store_mode mode = (enum eh_store_mode)m;
        refuse(folder.path, mode, EH_NO_ACCESS, "this is a folder");
        refuse("/dev/null", mode, EH_NO_ACCESS, "ordinary file");
        refuse("/nowhere/at/all.db", mode, EH_NOT_FOUND, "does not exist");
        refuse("/dev/null/runs.db", mode, EH_NOT_FOUND, "does not exist");
        refuse("", mode, EH_NOT_FOUND, "empty");
        cr_assert_eq(mkfifo(folder.db, 0600), 0);
        refuse(folder.db, mode, EH_NO_ACCESS, "ordinary file");
        cr_assert_eq(unlink(folder.db), 0);
    }
    folder_remove(&folder);
}

Test(history_open, names_that_sqlite_takes_for_something_else_are_plain_files) {
    const struct folder folder = folder_make();
    cr_assert_eq(chdir(folder.path), 0);
    const char *const names[] = {":memory:", "file:runs.db?mode=memory", "runs db?#%41.db", "-x"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        make_history(names[i], 1);
        cr_assert(file_exists(names[i]), "%s", names[i]);
        eh_store_close(open_or_fail(names[i], EH_STORE_READ));
    }
    cr_assert_eq(chdir("/"), 0);
    folder_remove(&folder);
}

Test(history_open, what_is_no_database_is_refused_and_left_alone) {
    const struct folder folder = folder_make();
    static const char text[] = "title Five-stroke roll\n";
    file_write(folder.db, text, sizeof text - 1);
    refuse_untouched(&folder, EH_DAMAGED, "no SQLite database");
    static char zeros[8192];
    file_write(folder.db, zeros, sizeof zeros);
    refuse_untouched(&folder, EH_DAMAGED, "not a history");
    uint64_t state = 5;
    for (size_t i = 0; i < sizeof zeros; i++) {
        zeros[i] = (char)(random_next(&state) >> 56);
    }
    file_write(folder.db, zeros, sizeof zeros);
    refuse_untouched(&folder, EH_DAMAGED, "no SQLite database");
    folder_remove(&folder);
}

/* SQLite's file format, version 3 (https://www.sqlite.org/fileformat2.html, section 1.3): big
 * endian numbers in the first page's header, user version at offset 60, application id at 68. */
enum { AT_USER_VERSION = 60, AT_APPLICATION_ID = 68 };

static void patch(const char *path, size_t offset, uint32_t value) {
    size_t size = 0;
    unsigned char *bytes = file_read(path, &size);
    cr_assert_gt(size, offset + 4);
    for (size_t i = 0; i < 4; i++) {
        bytes[offset + i] = (unsigned char)(value >> (24 - 8 * i));
    }
    file_write(path, bytes, size);
    free(bytes);
}

Test(history_open, the_file_says_by_the_published_format_whose_it_is_and_which_version) {
    const struct folder folder = folder_make();
    make_history(folder.db, 1);
    size_t size = 0;
    unsigned char *bytes = file_read(folder.db, &size);
    cr_assert_eq(memcmp(bytes, "SQLite format 3", 16), 0);
    cr_assert_eq(memcmp(bytes + AT_APPLICATION_ID, "EvHd", 4), 0);
    cr_assert_eq(memcmp(bytes + AT_USER_VERSION, "\0\0\0\4", 4), 0);
    free(bytes);
    folder_remove(&folder);
}

Test(history_open, newer_and_foreign_files_are_refused_and_left_alone) {
    const struct folder folder = folder_make();
    make_history(folder.db, 1);
    patch(folder.db, AT_USER_VERSION, 5);
    refuse_untouched(&folder, EH_NEWER_VERSION, "newer evenhand (its version 5");
    patch(folder.db, AT_USER_VERSION, 0x7fffffff);
    refuse_untouched(&folder, EH_NEWER_VERSION, "version 2147483647");
    patch(folder.db, AT_USER_VERSION, 0);
    refuse_untouched(&folder, EH_DAMAGED, "no version");
    patch(folder.db, AT_USER_VERSION, 0xffffffff);
    refuse_untouched(&folder, EH_DAMAGED, "no version");
    patch(folder.db, AT_USER_VERSION, 1);
    patch(folder.db, AT_APPLICATION_ID, 0);
    refuse_untouched(&folder, EH_DAMAGED, "another program's");
    patch(folder.db, AT_APPLICATION_ID, 0x45764865);
    refuse_untouched(&folder, EH_DAMAGED, "another program's");
    folder_remove(&folder);
}

/* Reads all there is; what may come is a clear refusal or the runs, never a crash. */
static enum eh_status read_all(const char *path, struct eh_error *error) {
    struct eh_store *store = NULL;
    enum eh_status status = eh_store_open(&store, path, EH_STORE_READ, error);
    if (status != EH_OK) {
        return status;
    }
    struct eh_run_list list = {0};
    struct eh_run run = {0};
    status = eh_store_runs(store, NULL, &list, error);
    if (status == EH_OK) {
        status = eh_store_run_load(store, 1, &run, error);
    }
    if (status == EH_OK) {
        status = eh_store_check(store, error);
    }
    eh_run_deinit(&run);
    eh_run_list_deinit(&list);
    eh_store_close(store);
    return status;
}

Test(history_open, a_truncated_file_is_called_damaged) {
    const struct folder folder = folder_make();
    make_history(folder.db, 2000);
    size_t size = 0;
    unsigned char *bytes = file_read(folder.db, &size);
    cr_assert_gt(size, 50000);
    for (size_t keep = 1; keep < size; keep += keep < 5000 ? 499 : 3001) {
        file_write(folder.db, bytes, keep);
        struct eh_error error = {0};
        const enum eh_status status = read_all(folder.db, &error);
        cr_assert_eq(status, EH_DAMAGED, "%zu bytes: %s (%s)", keep, eh_status_text(status),
                     error.text);
        cr_assert(file_equals(folder.db, bytes, keep));
    }
    free(bytes);
    folder_remove(&folder);
}

/* One wrong byte anywhere: either nobody notices (a changed hit is still a hit) or the words say
 * that the file is damaged; nothing crashes, nothing is changed. */
Test(history_open, flipped_bytes_are_noticed_or_harmless) {
    const struct folder folder = folder_make();
    make_history(folder.db, 300);
    size_t size = 0;
    unsigned char *bytes = file_read(folder.db, &size);
    uint64_t state = 31;
    int noticed = 0;
    for (int round = 0; round < 400; round++) {
        const size_t at = round < 100 ? (size_t)round : (size_t)(random_next(&state) % size);
        const unsigned char kept = bytes[at];
        bytes[at] ^= (unsigned char)(1 + random_next(&state) % 255);
        file_write(folder.db, bytes, size);
        struct eh_error error = {0};
        const enum eh_status status = read_all(folder.db, &error);
        cr_assert(status == EH_OK || status == EH_DAMAGED || status == EH_NEWER_VERSION ||
                      status == EH_NOT_FOUND || status == EH_NO_ACCESS,
                  "byte %zu: %s (%s)", at, eh_status_text(status), error.text);
        cr_assert(status == EH_OK || error.text[0] != '\0');
        cr_assert(file_equals(folder.db, bytes, size), "byte %zu: the file was changed", at);
        noticed += status == EH_DAMAGED;
        bytes[at] = kept;
    }
    cr_assert_gt(noticed, 40);
    file_write(folder.db, bytes, size);
    cr_assert_eq(read_all(folder.db, NULL), EH_OK);
    free(bytes);
    folder_remove(&folder);
}

/* ---- Rights; each in a child without any ---- */

static void as_nobody(void (*act)(const struct folder *), const struct folder *folder) {
    const pid_t child = fork();
    if (child == 0) {
        if (!drop_rights()) {
            _exit(9);
        }
        act(folder);
        _exit(0);
    }
    cr_assert_eq(child_wait(child), 0, "the child says what failed");
}

static void need(bool ok, const char *what, const struct eh_error *error) {
    if (!ok) {
        (void)fprintf(stderr, "%s: %s (%s)\n", what, eh_status_text(error->status), error->text);
        _exit(1);
    }
}

static void read_one_run(const struct folder *folder) {
    struct eh_store *store = NULL;
    struct eh_error error = {0};
    struct eh_run run;
    char copy[64];
    (void)snprintf(copy, sizeof copy, "/tmp/evenhand-copy-%ld", (long)getpid());
    need(eh_store_open(&store, folder->db, EH_STORE_READ, &error) == EH_OK, "open", &error);
    need(eh_store_run_load(store, 1, &run, &error) == EH_OK, "load", &error);
    need(run.take.count == 5, "count", &error);
    need(eh_store_copy(store, copy, &error) == EH_OK, "copy", &error);
    need(unlink(copy) == 0, "unlink", &error);
    const struct eh_run_info info = plain_info();
    int64_t number = 0;
    need(eh_store_run_begin(store, &info, &number) == EH_NO_ACCESS, "begin", eh_store_error(store));
    eh_run_deinit(&run);
    eh_store_close(store);
}

static void cannot_write(const struct folder *folder) {
    struct eh_store *store = NULL;
    struct eh_error error = {0};
    need(eh_store_open(&store, folder->db, EH_STORE_WRITE, &error) == EH_NO_ACCESS, "write",
         &error);
}

static void cannot_even_read(const struct folder *folder) {
    struct eh_store *store = NULL;
    struct eh_error error = {0};
    need(eh_store_open(&store, folder->db, EH_STORE_READ, &error) == EH_NO_ACCESS, "read", &error);
    cannot_write(folder);
}

Test(history_open, a_read_only_folder_can_be_read_but_not_written) {
    const struct folder folder = folder_make();
    make_history(folder.db, 5);
    cr_assert_eq(chmod(folder.db, 0644), 0);
    cr_assert_eq(chmod(folder.path, 0555), 0);
    as_nobody(read_one_run, &folder);
    as_nobody(cannot_write, &folder);
    cr_assert_eq(chmod(folder.db, 0666), 0); /* the file may be written, its folder not */
    as_nobody(read_one_run, &folder);
    as_nobody(cannot_write, &folder);
    cr_assert_eq(chmod(folder.db, 0444), 0);
    cr_assert_eq(chmod(folder.path, 0777), 0);
    as_nobody(read_one_run, &folder);
    as_nobody(cannot_write, &folder);
    folder_remove(&folder);
}

Test(history_open, without_permission_nothing_is_read) {
    const struct folder folder = folder_make();
    make_history(folder.db, 5);
    cr_assert_eq(chmod(folder.db, 0), 0);
    as_nobody(cannot_even_read, &folder);
    cr_assert_eq(chmod(folder.db, 0666), 0);
    cr_assert_eq(chmod(folder.path, 0700), 0);
    as_nobody(cannot_even_read, &folder);
    folder_remove(&folder);
}

static void no_new_file(const struct folder *folder) {
    cannot_write(folder);
    need(!file_exists(folder->db), "created", &(struct eh_error){0});
}

Test(history_open, a_folder_that_must_not_be_written_gets_no_history) {
    const struct folder folder = folder_make();
    cr_assert_eq(chmod(folder.path, 0555), 0);
    as_nobody(no_new_file, &folder);
    folder_remove(&folder);
}

/* A writer was killed and the folder then made read-only (put on a disc, say): the journal holds
 * hits that the file lacks, so reading the file alone would lie. */
Test(history_open, a_journal_that_cannot_be_folded_in_is_not_passed_over) {
    const struct folder folder = folder_make();
    make_history(folder.db, 5);
    char name[128];
    (void)snprintf(name, sizeof name, "%s-wal", folder.db);
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    struct eh_hit hit = {.note = 38};
    cr_assert_eq(eh_store_run_add_hits(store, 1, &hit, 1), EH_OK);
    size_t size = 0;
    unsigned char *wal = file_read(name, &size);
    cr_assert_gt(size, 0);
    size_t db_size = 0;
    unsigned char *db = file_read(folder.db, &db_size);
    eh_store_close(store);
    file_write(folder.db, db, db_size);
    file_write(name, wal, size);
    cr_assert_eq(chmod(folder.db, 0644), 0);
    cr_assert_eq(chmod(name, 0644), 0);
    cr_assert_eq(chmod(folder.path, 0555), 0);
    as_nobody(cannot_even_read, &folder);
    cr_assert_eq(chmod(folder.path, 0777), 0);
    struct eh_run run;
    store = open_or_fail(folder.db, EH_STORE_READ);
    cr_assert_eq(eh_store_run_load(store, 1, &run, NULL), EH_OK);
    cr_assert_eq(run.take.count, 6, "where the folder can be written, all of it is read");
    eh_run_deinit(&run);
    eh_store_close(store);
    free(wal);
    free(db);
    folder_remove(&folder);
}
