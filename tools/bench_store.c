/* What the history costs: appends while a practice runs, loading, listing, size. Prints a table.
 *
 *   bench_store FILE      FILE must not exist; it is left behind for inspection
 */
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <time.h>

#include "evenhand/store.h"

enum { RUNS = 50, CHUNKS = 200, CHUNK = 10 };

static double now_ms(void) {
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static void need(enum eh_status status, const char *what, const char *words) {
    if (status != EH_OK) {
        (void)fprintf(stderr, "bench_store: %s: %s\n", what, words);
        exit(1);
    }
}

static int by_value(const void *a, const void *b) {
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

static void print(const char *what, double *ms, size_t n) {
    qsort(ms, n, sizeof *ms, by_value);
    (void)printf("%-38s %7zu %9.3f %9.3f %9.3f\n", what, n, ms[n / 2], ms[n * 99 / 100], ms[n - 1]);
}

static double append(struct eh_store *store, int64_t run, int first) {
    struct eh_hit hits[CHUNK];
    for (int k = 0; k < CHUNK; k++) {
        const int64_t number = first + k;
        hits[k] = (struct eh_hit){.at_ns = number * 97 * EH_NS_PER_MS + number % 7 * 12345,
                                  .velocity = (uint16_t)(20000 + number * 7919 % 30000),
                                  .note = 38};
    }
    const double start = now_ms();
    need(eh_store_run_add_hits(store, run, hits, CHUNK), "append", eh_store_error(store)->text);
    return now_ms() - start;
}

static double *write_runs(struct eh_store *store, double *out_end) {
    const struct eh_run_info info = {
        .exercise = "five-stroke-roll", .exercise_text = "| RRLLR- |", .tempo_bpm = 120};
    double *appends = calloc((size_t)RUNS * CHUNKS, sizeof *appends);
    if (appends == NULL) {
        exit(1);
    }
    for (int r = 0; r < RUNS; r++) {
        int64_t run = 0;
        need(eh_store_run_begin(store, &info, &run), "begin", eh_store_error(store)->text);
        for (int c = 0; c < CHUNKS; c++) {
            appends[r * CHUNKS + c] = append(store, run, c * CHUNK);
        }
        const double start = now_ms();
        need(eh_store_run_end(store, run, EH_RUN_COMPLETE, 0), "end", eh_store_error(store)->text);
        out_end[r] = now_ms() - start;
    }
    return appends;
}

static void read_runs(struct eh_store *store, double *out_load, double *out_list) {
    struct eh_error error;
    for (int r = 0; r < RUNS; r++) {
        const struct eh_run_filter filter = {.limit = 20};
        struct eh_run run;
        struct eh_run_list list;
        double start = now_ms();
        need(eh_store_run_load(store, r + 1, &run, &error), "load", error.text);
        out_load[r] = now_ms() - start;
        eh_run_deinit(&run);
        start = now_ms();
        need(eh_store_runs(store, &filter, &list, &error), "list", error.text);
        out_list[r] = now_ms() - start;
        eh_run_list_deinit(&list);
    }
}

int main(int argc, char **argv) {
    struct eh_store *store = NULL;
    struct eh_error error;
    double end[RUNS];
    double load[RUNS];
    double list[RUNS];
    double open[2];
    struct stat found;
    if (argc != 2) {
        (void)fprintf(stderr, "usage: bench_store FILE\n");
        return 2;
    }
    for (int i = 0; i < 2; i++) {
        const double start = now_ms();
        need(eh_store_open(&store, argv[1], EH_STORE_WRITE, &error), argv[1], error.text);
        open[i] = now_ms() - start;
        if (i == 0) {
            eh_store_close(store);
        }
    }
    double *appends = write_runs(store, end);
    read_runs(store, load, list);
    const double start = now_ms();
    need(eh_store_check(store, &error), "check", error.text);
    double check[] = {now_ms() - start};
    eh_store_close(store);
    (void)printf("%-38s %7s %9s %9s %9s\n", "milliseconds", "n", "median", "99 %", "worst");
    print("open, new file", &open[0], 1);
    print("open", &open[1], 1);
    print("append a chunk of 10 hits", appends, (size_t)RUNS * CHUNKS);
    print("end a run (waits for the disk)", end, RUNS);
    print("load a run of 2000 hits", load, RUNS);
    print("list the newest 20 runs", list, RUNS);
    print("check the whole file", check, 1);
    if (stat(argv[1], &found) == 0) {
        (void)printf("size: %.1f KB a run of 2000 hits\n", (double)found.st_size / 1024 / RUNS);
    }
    free(appends);
    return 0;
}
