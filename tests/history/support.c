#define _GNU_SOURCE /* setgroups */
#include "support.h"

#include <criterion/criterion.h>
#include <ftw.h>
#include <grp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

struct folder folder_make(void) {
    struct folder folder = {.path = "/tmp/evenhand-test-XXXXXX"};
    cr_assert_not_null(mkdtemp(folder.path));
    cr_assert_eq(chmod(folder.path, 0777), 0);
    (void)snprintf(folder.db, sizeof folder.db, "%s/runs.db", folder.path);
    return folder;
}

static int remove_one(const char *path, const struct stat *found, int kind, struct FTW *at) {
    (void)found;
    (void)kind;
    (void)at;
    return remove(path);
}

void folder_remove(const struct folder *folder) {
    (void)chmod(folder->path, 0777);
    cr_assert_eq(nftw(folder->path, remove_one, 8, FTW_DEPTH | FTW_PHYS), 0);
}

struct eh_run_info plain_info(void) {
    static const struct eh_metre_change metres[] = {{.at = 0, .beats = 4, .unit = 4}};
    return (struct eh_run_info){
        .started_utc_s = 1764063330,
        .utc_offset_s = 3600,
        .source = EH_SOURCE_LIVE,
        .player = "Ada",
        .port = "Practice pad:0",
        .demo_fault = "",
        .demo_seed = "",
        .exercise = "five-stroke-roll",
        .exercise_text = "title Five-stroke roll\n| RRLLR- LLRRL- |\n",
        .style = "rudimental",
        .style_text = "[style]\nname = rudimental\n",
        .pad_text = "name = default\n",
        .plan = {.first_bar = 1, .last_bar = 4, .passes = 2, .gap = 4 * EH_TICKS_PER_QUARTER},
        .tempo_bpm = 120.0,
        .zero_ns = 2 * EH_NS_PER_S,
        .resolution_ns = 1000,
        .metres = metres,
        .metre_count = 1,
    };
}

struct eh_store *open_or_fail(const char *path, enum eh_store_mode mode) {
    struct eh_store *store = NULL;
    struct eh_error error = {0};
    cr_assert_eq(eh_store_open(&store, path, mode, &error), EH_OK, "%s", error.text);
    return store;
}

uint64_t random_next(uint64_t *state) {
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return *state * UINT64_C(2685821657736338717);
}

struct eh_hit random_hit(uint64_t *state) {
    return (struct eh_hit){.at_ns = (int64_t)random_next(state) >> 8,
                           .velocity = (uint16_t)(random_next(state) >> 48),
                           .note = (uint8_t)(random_next(state) >> 57),
                           .channel = (uint8_t)(random_next(state) >> 60)};
}

void even_hits(struct eh_hit *hits, size_t n) {
    for (size_t k = 0; k < n; k++) {
        hits[k] = (struct eh_hit){.at_ns = (int64_t)k * 125 * EH_NS_PER_MS,
                                  .velocity = 64 * EH_VELOCITY_UNIT,
                                  .note = 38};
    }
}

unsigned char *file_read(const char *path, size_t *out_size) {
    *out_size = 0;
    FILE *file = fopen(path, "rb");
    if (file == NULL) {
        return NULL;
    }
    unsigned char *bytes = NULL;
    size_t capacity = 0;
    size_t got = 0;
    do {
        capacity += 1 << 16;
        bytes = realloc(bytes, capacity);
        cr_assert_not_null(bytes);
        got = fread(bytes + *out_size, 1, capacity - *out_size, file);
        *out_size += got;
    } while (got > 0);
    (void)fclose(file);
    return bytes;
}

void file_write(const char *path, const void *bytes, size_t size) {
    FILE *file = fopen(path, "wb");
    cr_assert_not_null(file);
    cr_assert_eq(fwrite(bytes, 1, size, file), size);
    cr_assert_eq(fclose(file), 0);
}

void file_copy(const char *from, const char *to) {
    size_t size = 0;
    unsigned char *bytes = file_read(from, &size);
    cr_assert_not_null(bytes, "%s", from);
    file_write(to, bytes, size);
    free(bytes);
}

bool file_exists(const char *path) {
    return access(path, F_OK) == 0;
}

bool file_equals(const char *path, const unsigned char *bytes, size_t size) {
    size_t now_size = 0;
    unsigned char *now = file_read(path, &now_size);
    const bool same = now_size == size && (size == 0 || memcmp(now, bytes, size) == 0);
    free(now);
    return same;
}

int child_wait(pid_t child) {
    int how = 0;
    cr_assert_eq(waitpid(child, &how, 0), child);
    return WIFEXITED(how) ? WEXITSTATUS(how) : 1000 + WTERMSIG(how);
}

bool drop_rights(void) {
    const uid_t nobody = 65534;
    if (geteuid() != 0) {
        return true;
    }
    return setgroups(0, NULL) == 0 && setgid(nobody) == 0 && setuid(nobody) == 0;
}
