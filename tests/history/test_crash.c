/* Killed in the middle, and several programs at once. */
#include <criterion/criterion.h>
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "support.h"

enum { CHUNK = 10 };

static void sleep_us(long us) {
    const struct timespec pause = {.tv_sec = us / 1000000, .tv_nsec = us % 1000000 * 1000};
    (void)nanosleep(&pause, NULL);
}

static struct eh_hit numbered(int64_t k) {
    return (struct eh_hit){.at_ns = k * 1000003,
                           .velocity = (uint16_t)(512 + k % 60000),
                           .note = (uint8_t)(k % 128),
                           .channel = (uint8_t)(k % 16)};
}

/* Plays for ever; says after each append, through the pipe, how many hits are safe. */
static void play_for_ever(const char *path, int told) {
    struct eh_store *store = NULL;
    const struct eh_run_info info = plain_info();
    int64_t run = 0;
    if (eh_store_open(&store, path, EH_STORE_WRITE, NULL) != EH_OK ||
        eh_store_run_begin(store, &info, &run) != EH_OK) {
        _exit(1);
    }
    for (int64_t safe = 0;; safe += CHUNK) {
        struct eh_hit hits[CHUNK];
        const int64_t news[2] = {run, safe};
        if (write(told, news, sizeof news) != (ssize_t)sizeof news) {
            _exit(2);
        }
        for (int k = 0; k < CHUNK; k++) {
            hits[k] = numbered(safe + k);
        }
        if (eh_store_run_add_hits(store, run, hits, CHUNK) != EH_OK) {
            _exit(3);
        }
    }
}

/* The next news, if any more come. */
static bool hear(int told, int64_t news[2]) {
    int64_t got[2];
    if (read(told, got, sizeof got) != (ssize_t)sizeof got) {
        return false;
    }
    news[0] = got[0];
    news[1] = got[1];
    return true;
}

static void assert_numbered(const struct eh_take *take) {
    for (size_t k = 0; k < take->count; k++) {
        const struct eh_hit hit = numbered((int64_t)k);
        cr_assert_eq(take->hits[k].at_ns, hit.at_ns);
        cr_assert_eq(take->hits[k].velocity, hit.velocity);
        cr_assert_eq(take->hits[k].note, hit.note);
        cr_assert_eq(take->hits[k].channel, hit.channel);
    }
}

Test(history_crash, a_killed_program_loses_only_what_it_had_not_appended, .timeout = 60) {
    const struct folder folder = folder_make();
    uint64_t state = 12345;
    int64_t most = 0;
    for (int round = 0; round < 28; round++) {
        int told[2];
        int64_t news[2] = {0, 0};
        cr_assert_eq(pipe(told), 0);
        const pid_t child = fork();
        if (child == 0) {
            (void)close(told[0]);
            play_for_ever(folder.db, told[1]);
        }
        (void)close(told[1]);
        /* From within the opening of a new file to hundreds of appends later. */
        const int64_t enough = round % 4 == 0 ? 0 : (int64_t)(random_next(&state) % 150) * CHUNK;
        while (news[1] < enough && hear(told[0], news)) {
        }
        sleep_us((long)(random_next(&state) % 3000));
        cr_assert_eq(kill(child, SIGKILL), 0);
        cr_assert_eq(child_wait(child), 1000 + SIGKILL);
        while (hear(told[0], news)) {
        }
        (void)close(told[0]);

        struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
        struct eh_error error = {0};
        cr_assert_eq(eh_store_check(store, &error), EH_OK, "%s", error.text);
        if (news[0] != 0) {
            struct eh_run run;
            cr_assert_eq(eh_store_run_load(store, news[0], &run, &error), EH_OK, "%s", error.text);
            cr_assert_geq((int64_t)run.take.count, news[1]);
            cr_assert_leq((int64_t)run.take.count, news[1] + CHUNK);
            cr_assert_eq(run.take.count % CHUNK, 0, "a chunk is stored whole or not at all");
            cr_assert_eq(run.ended, EH_RUN_UNFINISHED);
            assert_numbered(&run.take);
            most = news[1] > most ? news[1] : most;
            eh_run_deinit(&run);
        }
        eh_store_close(store);
    }
    cr_assert_gt(most, 10 * CHUNK, "the children got somewhere: %lld", (long long)most);
    folder_remove(&folder);
}

Test(history_crash, many_programs_may_create_the_same_history_at_once, .timeout = 60) {
    enum { PROGRAMS = 8 };
    for (int round = 0; round < 6; round++) {
        const struct folder folder = folder_make();
        pid_t children[PROGRAMS];
        for (int i = 0; i < PROGRAMS; i++) {
            children[i] = fork();
            if (children[i] == 0) {
                struct eh_store *store = NULL;
                struct eh_error error = {0};
                const struct eh_run_info info = plain_info();
                int64_t run = 0;
                enum eh_status status = eh_store_open(&store, folder.db, EH_STORE_WRITE, &error);
                if (status == EH_OK) {
                    status = eh_store_run_begin(store, &info, &run);
                    error = *eh_store_error(store);
                }
                if (status != EH_OK) {
                    (void)fprintf(stderr, "%s\n", error.text);
                }
                eh_store_close(store);
                _exit(status == EH_OK ? 0 : 1);
            }
        }
        for (int i = 0; i < PROGRAMS; i++) {
            cr_assert_eq(child_wait(children[i]), 0);
        }
        struct eh_store *store = open_or_fail(folder.db, EH_STORE_READ);
        struct eh_run_list list;
        cr_assert_eq(eh_store_runs(store, NULL, &list, NULL), EH_OK);
        cr_assert_eq(list.count, PROGRAMS);
        eh_run_list_deinit(&list);
        eh_store_close(store);
        folder_remove(&folder);
    }
}

enum { APPENDS = 150 };

/* One practice: its own run, each chunk given again until it is stored. */
static int play(const char *path) {
    struct eh_store *store = NULL;
    const struct eh_run_info info = plain_info();
    int64_t run = 0;
    if (eh_store_open(&store, path, EH_STORE_WRITE, NULL) != EH_OK ||
        eh_store_run_begin(store, &info, &run) != EH_OK) {
        return 1;
    }
    for (int64_t k = 0; k < APPENDS; k++) {
        const struct eh_hit hit = numbered(k);
        const struct eh_run_click click = {.at = k * 20160, .at_ns = k * 500000000};
        enum eh_status status;
        while ((status = eh_store_run_add_hits(store, run, &hit, 1)) == EH_BUSY) {
        }
        if (status != EH_OK) {
            return 2;
        }
        while ((status = eh_store_run_add_clicks(store, run, &click, 1)) == EH_BUSY) {
        }
        if (status != EH_OK) {
            return 3;
        }
    }
    if (eh_store_run_end(store, run, EH_RUN_COMPLETE, 0) != EH_OK) {
        return 4;
    }
    eh_store_close(store);
    return 0;
}

/* Looks on until a run is complete; what it sees never shrinks and is always whole. */
static int watch(const char *path) {
    size_t before = 0;
    for (int looks = 0; looks < 100000; looks++) {
        struct eh_store *store = NULL;
        struct eh_run run;
        if (eh_store_open(&store, path, EH_STORE_READ, NULL) != EH_OK) {
            return 1;
        }
        for (int i = 0; i < 3; i++) {
            if (eh_store_run_load(store, 1, &run, NULL) != EH_OK) {
                return 2;
            }
            const size_t now = run.take.count;
            const bool over = run.ended == EH_RUN_COMPLETE;
            eh_run_deinit(&run);
            if (now < before) {
                return 3;
            }
            before = now;
            if (over) {
                eh_store_close(store);
                return now == APPENDS ? 0 : 4;
            }
        }
        eh_store_close(store);
    }
    return 5;
}

Test(history_crash, two_practices_and_a_reader_share_a_history, .timeout = 60) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    eh_store_close(store);
    pid_t players[2];
    for (int i = 0; i < 2; i++) {
        players[i] = fork();
        if (players[i] == 0) {
            _exit(play(folder.db));
        }
    }
    pid_t watcher = 0;
    for (int tries = 0; tries < 1000 && watcher == 0; tries++) {
        struct eh_run_list list;
        store = open_or_fail(folder.db, EH_STORE_READ);
        cr_assert_eq(eh_store_runs(store, NULL, &list, NULL), EH_OK);
        const size_t count = list.count;
        eh_run_list_deinit(&list);
        eh_store_close(store);
        if (count > 0 && (watcher = fork()) == 0) {
            _exit(watch(folder.db));
        }
        sleep_us(1000);
    }
    for (int i = 0; i < 2; i++) {
        cr_assert_eq(child_wait(players[i]), 0);
    }
    cr_assert_eq(child_wait(watcher), 0);
    store = open_or_fail(folder.db, EH_STORE_READ);
    for (int64_t number = 1; number <= 2; number++) {
        struct eh_run run;
        cr_assert_eq(eh_store_run_load(store, number, &run, NULL), EH_OK);
        cr_assert_eq(run.take.count, APPENDS);
        cr_assert_eq(run.click_count, APPENDS);
        assert_numbered(&run.take);
        eh_run_deinit(&run);
    }
    eh_store_close(store);
    folder_remove(&folder);
}
