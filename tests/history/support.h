/* What the tests of the history share. */
#ifndef EVENHAND_TESTS_HISTORY_SUPPORT_H
#define EVENHAND_TESTS_HISTORY_SUPPORT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

#include "evenhand/store.h"

/* A folder of this test's own, removed by folder_remove. */
struct folder {
    char path[64];
    char db[96]; /* a file name inside it */
};

struct folder folder_make(void);
void folder_remove(const struct folder *folder);

/* A run like one that a player would play. */
struct eh_run_info plain_info(void);

/* Opens, or fails the test with the words. */
struct eh_store *open_or_fail(const char *path, enum eh_store_mode mode);

/* A repeatable sequence (xorshift64*). */
uint64_t random_next(uint64_t *state);
struct eh_hit random_hit(uint64_t *state);

/* N hits, the kth at k * 125 ms. */
void even_hits(struct eh_hit *hits, size_t n);

/* The file's bytes; *OUT_SIZE = 0 and NULL where there is none. The caller frees. */
unsigned char *file_read(const char *path, size_t *out_size);
void file_write(const char *path, const void *bytes, size_t size);
void file_copy(const char *from, const char *to);
bool file_exists(const char *path);
bool file_equals(const char *path, const unsigned char *bytes, size_t size);

/* Waits for a child; its exit code, or 1000 + the signal. */
int child_wait(pid_t child);

/* Becomes a user without rights, when we are root; false where that is impossible. */
bool drop_rights(void);

#endif
