/* Memory: every allocation of reading and writing fails once, and no file makes the reader take
 * more than a fixed multiple of its length. The linker sends the rooms' allocations here (--wrap).
 */
#include <malloc.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/smf.h"

/* The linker makes these names. */
/* NOLINTBEGIN(bugprone-reserved-identifier) */
void *__real_realloc(void *old, size_t size);
void *__real_calloc(size_t count, size_t size);
void __real_free(void *block);
void *__wrap_realloc(void *old, size_t size);
void *__wrap_calloc(size_t count, size_t size);
void __wrap_free(void *block);
/* NOLINTEND(bugprone-reserved-identifier) */

static long fail_at = -1; /* which allocation fails, from 0; -1 for none */
static long asked;
static size_t held; /* bytes */
static size_t most_held;
static int failures;

static bool refuse(void) {
    return asked++ == fail_at;
}

static void count_in(size_t size) {
    held += size;
    most_held = held > most_held ? held : most_held;
}

void *__wrap_realloc(void *old, size_t size) {
    if (refuse()) {
        return NULL;
    }
    const size_t before = malloc_usable_size(old);
    void *block = __real_realloc(old, size);
    if (block != NULL) {
        count_in(malloc_usable_size(block)); /* old and new may exist side by side */
        held -= before;
    }
    return block;
}

void *__wrap_calloc(size_t count, size_t size) {
    if (refuse()) {
        return NULL;
    }
    void *block = __real_calloc(count, size);
    count_in(malloc_usable_size(block));
    return block;
}

void __wrap_free(void *block) {
    held -= malloc_usable_size(block);
    __real_free(block);
}

static void expect(bool condition, const char *what, long number) {
    if (!condition) {
        (void)fprintf(stderr, "failed: %s (%ld)\n", what, number);
        failures++;
    }
}

static void fill_take(struct eh_take *take) {
    const struct eh_metre_change metre = {0, 4, 4};
    bool made = eh_take_init(take, "memory", metre, 0, 500000000) == EH_OK;
    for (int i = 0; made && i < 200; i++) {
        const struct eh_hit hit = {.at_ns = i * INT64_C(125000000), .velocity = 512, .note = 38};
        made = eh_take_add(take, &hit) == EH_OK;
    }
    for (int i = 1; made && i < 20; i++) {
        const struct eh_metre_change next = {i * INT64_C(80640), (uint8_t)(3 + i % 2), 4};
        made = eh_tempo_map_change(&take->click, next.at, 500000000 + i * 1000) == EH_OK &&
               eh_take_add_metre(take, next) == EH_OK;
    }
    expect(made, "a take to write", 0);
}

static long allocations_to_write(const struct eh_take *take, struct eh_text *out) {
    fail_at = -1;
    asked = 0;
    expect(eh_smf_write(out, take, "t", NULL) == EH_OK, "writing", 0);
    return asked;
}

static void fail_each_of_writing(const struct eh_take *take, struct eh_text *out) {
    const long count = allocations_to_write(take, out);
    expect(count > 5, "writing allocates", count);
    for (long i = 0; i < count; i++) {
        struct eh_text broken = {0};
        struct eh_error error;
        asked = 0;
        fail_at = i;
        expect(eh_smf_write(&broken, take, "t", &error) == EH_NO_MEMORY, "a failed write", i);
        expect(error.status == EH_NO_MEMORY && error.text[0] != '\0', "a said failed write", i);
        fail_at = -1;
        eh_text_deinit(&broken);
    }
    printf("writing: each of %ld allocations failed once\n", count);
}

static void fail_each_of_reading(const uint8_t *bytes, size_t length) {
    struct eh_take take;
    asked = 0;
    expect(eh_smf_read(&take, bytes, length, "m", NULL) == EH_OK, "reading", 0);
    const long count = asked;
    expect(count > 10, "reading allocates", count);
    eh_take_deinit(&take);
    const size_t before = held;
    for (long i = 0; i < count; i++) {
        struct eh_error error;
        asked = 0;
        fail_at = i;
        expect(eh_smf_read(&take, bytes, length, "m", &error) == EH_NO_MEMORY, "a failed read", i);
        expect(error.status == EH_NO_MEMORY && error.offset == -1, "a said failed read", i);
        expect(take.hits == NULL && take.click.segments == NULL, "nothing left", i);
        expect(held == before, "all given back", i);
        fail_at = -1;
    }
    printf("reading: each of %ld allocations failed once\n", count);
}

/* A track that repeats EVENT for SIZE bytes. */
static uint8_t *dense_file(const uint8_t *first, const uint8_t *event, size_t event_length,
                           size_t size) {
    uint8_t *bytes = malloc(size + 64);
    static const uint8_t head[22] = {'M', 'T', 'h', 'd', 0,    0,   0,   6,   0,
                                     0,   0,   1,   1,   0xE0, 'M', 'T', 'r', 'k'};
    memcpy(bytes, head, sizeof head);
    size_t at = sizeof head;
    memcpy(bytes + at, first, 4);
    at += 4;
    while (at + event_length <= size) {
        memcpy(bytes + at, event, event_length);
        at += event_length;
    }
    memset(bytes + at, 0, size - at);
    const size_t length = at - sizeof head;
    for (int i = 0; i < 4; i++) {
        bytes[18 + i] = (uint8_t)(length >> (8 * (3 - i)));
    }
    return bytes;
}

static void read_dense(const char *what, const uint8_t *event, size_t event_length, size_t size) {
    static const uint8_t note[4] = {0, 0x99, 38, 64};
    uint8_t *bytes = dense_file(note, event, event_length, size);
    struct eh_take take;
    struct eh_error error = {0};
    asked = 0;
    most_held = held;
    const size_t before = held;
    expect(eh_smf_read(&take, bytes, size, "d", &error) == EH_OK, error.text, (long)size);
    const size_t most = most_held - before;
    expect(most < 20 * size, what, (long)(most / size));
    printf("%s: %zu bytes took %.1f times as many\n", what, size, (double)most / (double)size);
    eh_take_deinit(&take);
    __real_free(bytes);
}

int main(void) {
    struct eh_take take;
    fill_take(&take);
    struct eh_text out = {0};
    fail_each_of_writing(&take, &out);
    fail_each_of_reading((const uint8_t *)out.data, out.length);
    eh_text_deinit(&out);
    eh_take_deinit(&take);

    static const uint8_t stroke[] = {1, 38, 64};
    static const uint8_t tempos[] = {1, 0xFF, 0x51, 3, 7, 0xA1, 0x20};
    static const uint8_t metres[] = {1, 0xFF, 0x58, 4, 3, 2, 24, 8, 1, 0xFF, 0x58, 4, 4, 2, 24, 8};
    /* just beyond a doubling is the worst that growing arrays do */
    read_dense("notes", stroke, sizeof stroke, 26 + (65537 * 3));
    read_dense("tempos", tempos, sizeof tempos, 26 + (65537 * 7));
    read_dense("metres", metres, sizeof metres, 26 + (32769 * 16));
    return failures == 0 ? 0 : 1;
}
