/* The measuring bench: simulated players, pads and faults against the judge. Writes three tables,
 * align.csv, detect.csv and clean.csv, into a folder; says on standard error how far it is.
 * tools/measure-judge runs it and makes pages of its tables. */
#include <errno.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "cells.h"
#include "csv.h"

static const char *const usage =
    "usage: measure_judge [--full] [--only WORD]... [--seed N] [--jobs N] [--runs FACTOR]\n"
    "                     [--show RUN] --exercises FOLDER --out FOLDER\n";

struct options {
    struct scope scope;
    uint64_t seed;
    int jobs;
    int show; /* print this run of the first cells instead; -1: measure */
    const char *exercises, *out;
};

/* What the workers share: the cells, and the number of the next one that nobody has taken. */
struct work {
    struct cells *cells;
    uint64_t seed;
    atomic_size_t next, done;
};

static void *work_on(void *argument) {
    struct work *work = argument;
    for (size_t i = atomic_fetch_add(&work->next, 1); i < work->cells->count;
         i = atomic_fetch_add(&work->next, 1)) {
        cell_measure(&work->cells->row[i], work->seed);
        atomic_fetch_add(&work->done, 1);
    }
    return NULL;
}

static void watch(struct work *work) {
    const struct timespec pause = {.tv_nsec = 200000000};
    int ticks = 0;
    size_t done = 0;
    while ((done = atomic_load(&work->done)) < work->cells->count) {
        (void)nanosleep(&pause, NULL);
        if (++ticks % 50 == 0) {
            (void)fprintf(stderr, "%zu of %zu cells, %d s\n", done, work->cells->count, ticks / 5);
        }
    }
}

static int measure(struct cells *cells, const struct options *o) {
    enum { JOBS_MAX = 64 };
    pthread_t threads[JOBS_MAX];
    struct work work = {.cells = cells, .seed = o->seed};
    int started = 0;
    while (started < o->jobs && started < JOBS_MAX &&
           pthread_create(&threads[started], NULL, work_on, &work) == 0) {
        started++;
    }
    if (started == 0) {
        (void)fprintf(stderr, "no thread could be started\n");
        return 1;
    }
    watch(&work);
    for (int i = 0; i < started; i++) {
        (void)pthread_join(threads[i], NULL);
    }
    return csv_write(cells, o->out) ? 0 : 1;
}

static bool number(const char *text, double least, double most, double *out) {
    char *end = NULL;
    errno = 0;
    *out = strtod(text, &end);
    return errno == 0 && end != text && *end == '\0' && *out >= least && *out <= most;
}

/* Takes one option with its value; false when it is not understood. */
static bool take(struct options *o, const char *name, const char *value) {
    double x = 0.0;
    if (strcmp(name, "--only") == 0 && o->scope.only_count < ONLY_MAX) {
        o->scope.only[o->scope.only_count++] = value;
    } else if (strcmp(name, "--seed") == 0 && number(value, 0, 9e15, &x)) {
        o->seed = (uint64_t)x;
    } else if (strcmp(name, "--jobs") == 0 && number(value, 1, 64, &x)) {
        o->jobs = (int)x;
    } else if (strcmp(name, "--runs") == 0 && number(value, 0.001, 1000, &x)) {
        o->scope.scale = x;
    } else if (strcmp(name, "--show") == 0 && number(value, 0, 1e6, &x)) {
        o->show = (int)x;
    } else if (strcmp(name, "--exercises") == 0) {
        o->exercises = value;
    } else if (strcmp(name, "--out") == 0) {
        o->out = value;
    } else {
        return false;
    }
    return true;
}

static bool parse(struct options *o, int count, char **words) {
    for (int i = 1; i < count; i++) {
        if (strcmp(words[i], "--full") == 0) {
            o->scope.full = true;
        } else if (i + 1 < count && take(o, words[i], words[i + 1])) {
            i++;
        } else {
            (void)fprintf(stderr, "measure_judge: %s is not understood\n%s", words[i], usage);
            return false;
        }
    }
    if (o->exercises == NULL || o->out == NULL) {
        (void)fputs(usage, stderr);
        return false;
    }
    return true;
}

int main(int argc, char **argv) {
    struct options options = {.scope = {.scale = 1.0}, .seed = 1, .jobs = 2, .show = -1};
    if (!parse(&options, argc, argv)) {
        return 2;
    }
    struct cells cells;
    int result = 1;
    const bool listed = cells_list(&cells, options.exercises, &options.scope);
    if (listed && options.show >= 0) {
        cell_show(&cells.row[0], options.seed, options.show);
        result = 0;
    } else if (listed) {
        result = measure(&cells, &options);
    }
    cells_free(&cells);
    return result;
}
