/* Every allocation fails once, ours and SQLite's: the call says so, nothing leaks, nothing is half
 * written, and the next try succeeds. A plain program: the allocations of our libraries come
 * through the linker (--wrap), those of SQLite through its own door. */
#include <sqlite3.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "evenhand/store.h"
#include "failing_vfs.h"

enum whose { OURS, SQLITES };

static long asked[2];      /* allocations so far */
static enum whose failing; /* whose allocation fails ... */
static long fail_at;       /* ... and which one; 0 = none */

static bool fails(enum whose whose) {
    return ++asked[whose] == fail_at && whose == failing;
}

void *__real_malloc(size_t size);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *old, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *old, size_t size);

void *__wrap_malloc(size_t size) {
    return fails(OURS) ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t n, size_t size) {
    return fails(OURS) ? NULL : __real_calloc(n, size);
}

void *__wrap_realloc(void *old, size_t size) {
    return fails(OURS) ? NULL : __real_realloc(old, size);
}

static sqlite3_mem_methods real;

static void *sqlite_malloc(int size) {
    return fails(SQLITES) ? NULL : real.xMalloc(size);
}

static void *sqlite_realloc(void *old, int size) {
    return fails(SQLITES) ? NULL : real.xRealloc(old, size);
}

static void install(void) {
    (void)sqlite3_config(SQLITE_CONFIG_GETMALLOC, &real);
    sqlite3_mem_methods ours = real;
    ours.xMalloc = sqlite_malloc;
    ours.xRealloc = sqlite_realloc;
    (void)sqlite3_config(SQLITE_CONFIG_MALLOC, &ours);
    failing_vfs_install(); /* nothing fails there, but nobody waits for the disk */
}

enum { HITS = 50 };

static int wrong;

static void expect(bool ok, const char *what, const char *words) {
    if (!ok) {
        (void)fprintf(stderr, "allocation %ld of %s: %s (%s)\n", fail_at,
                      failing == OURS ? "ours" : "SQLite's", what, words);
        wrong++;
    }
}

/* True when it must be tried again, once. */
static bool again(enum eh_status status, const struct eh_error *error, int *tries) {
    if (status == EH_OK) {
        return false;
    }
    expect(status == EH_NO_MEMORY, eh_status_text(status), error->text);
    expect(error->status == status && error->text[0] != '\0', "no words", error->text);
    expect(*tries == 0, "fails twice", error->text);
    return ++*tries < 3;
}

static void load_all(struct eh_store *store, int64_t number, int *tries) {
    struct eh_run_list list = {0};
    struct eh_run run = {0};
    struct eh_error error = {0};
    while (again(eh_store_run_load(store, number, &run, &error), &error, tries)) {
        expect(run.memory == NULL && run.take.hits == NULL, "a run half loaded", "");
    }
    expect(run.take.count == HITS && run.click_count == 2, "hits or clicks are missing", "");
    eh_run_deinit(&run);
    while (again(eh_store_runs(store, NULL, &list, &error), &error, tries)) {
        expect(list.rows == NULL && list.memory == NULL, "a list half made", "");
    }
    expect(list.count == 1, "one run", "");
    eh_run_list_deinit(&list);
    enum eh_status status = eh_store_run_load(store, 77, &run, &error);
    if (status != EH_NOT_FOUND && again(status, &error, tries)) {
        status = eh_store_run_load(store, 77, &run, &error);
    }
    expect(status == EH_NOT_FOUND, "run 77 is not told to be missing", error.text);
}

static void keep_pad(struct eh_store *store, int *tries) {
    struct eh_store_pad pad = {0};
    struct eh_store_pad_list list = {0};
    struct eh_error error = {0};
    while (again(eh_store_pad_set(store, "Kit", "ada", 1, "text"), eh_store_error(store), tries)) {
    }
    while (again(eh_store_pad_get(store, "Kit", "ada", &pad, &error), &error, tries)) {
        expect(pad.text == NULL, "a pad half got", "");
    }
    while (again(eh_store_pads(store, &list, &error), &error, tries)) {
        expect(list.pads == NULL, "a list of pads half made", "");
    }
    expect(list.count == 1, "the pad is not listed", "");
    eh_store_pad_deinit(&pad);
    eh_store_pad_list_deinit(&list);
}

static void practise(const char *path) {
    const struct eh_run_info info = {.exercise = "five", .exercise_text = "RRLLR", .tempo_bpm = 90};
    const struct eh_run_click clicks[] = {{0, 0}, {20160, 666666667}};
    const struct eh_run_verdict verdict = {.json = "{}", .headline = "fine"};
    struct eh_hit hits[HITS];
    struct eh_store *store = NULL;
    struct eh_error error = {0};
    int64_t run = 0;
    int tries = 0;
    for (int k = 0; k < HITS; k++) {
        hits[k] = (struct eh_hit){.at_ns = k * EH_NS_PER_MS, .velocity = 512, .note = 38};
    }
    while (again(eh_store_open(&store, path, EH_STORE_WRITE, &error), &error, &tries)) {
        expect(store == NULL, "a store half open", "");
    }
    while (again(eh_store_run_begin(store, &info, &run), eh_store_error(store), &tries)) {
    }
    while (again(eh_store_run_add_hits(store, run, hits, HITS), eh_store_error(store), &tries)) {
    }
    while (again(eh_store_run_add_clicks(store, run, clicks, 2), eh_store_error(store), &tries)) {
    }
    while (again(eh_store_run_set_judgement(store, run, &verdict), eh_store_error(store), &tries)) {
    }
    while (again(eh_store_run_end(store, run, EH_RUN_STOPPED, 0), eh_store_error(store), &tries)) {
    }
    load_all(store, run, &tries);
    keep_pad(store, &tries);
    while (again(eh_store_check(store, &error), &error, &tries)) {
    }
    eh_store_close(store);
}

/* Lets every STEPth allocation fail, each in a practice of its own. */
static void fail_each(const char *path, enum whose whose, long step) {
    long total = 0;
    failing = whose;
    fail_at = 0;
    do {
        asked[OURS] = 0;
        asked[SQLITES] = 0;
        practise(path);
        (void)unlink(path);
        total = asked[whose];
        fail_at += step;
    } while (fail_at <= total);
    (void)printf("%ld allocations of %s, one in %ld failed, %d wrong\n", total,
                 whose == OURS ? "ours" : "SQLite's", step, wrong);
    expect(total > 20, "hardly any allocation", "");
}

int main(void) {
    char folder[] = "/tmp/evenhand-test-XXXXXX";
    char path[64];
    install();
    if (mkdtemp(folder) == NULL) {
        return 1;
    }
    (void)snprintf(path, sizeof path, "%s/runs.db", folder);
    fail_each(path, OURS, 1);
    fail_each(path, SQLITES, 7);
    (void)rmdir(folder);
    return wrong == 0 ? 0 : 1;
}
