#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "store_parts.h"

struct eh_pool {
    struct eh_pool *next;
    max_align_t memory[];
};

void *eh_pool_take(struct eh_pool **pool, size_t size) {
    if (size > SIZE_MAX / 2) {
        return NULL;
    }
    struct eh_pool *block = calloc(1, sizeof *block + size + 1);
    if (block == NULL) {
        return NULL;
    }
    block->next = *pool;
    *pool = block;
    return block->memory;
}

const char *eh_pool_text(struct eh_pool **pool, const char *text) {
    const size_t size = strlen(text) + 1;
    char *copy = eh_pool_take(pool, size);
    if (copy != NULL) {
        memcpy(copy, text, size);
    }
    return copy;
}

void eh_pool_free(struct eh_pool *pool) {
    while (pool != NULL) {
        struct eh_pool *next = pool->next;
        free(pool);
        pool = next;
    }
}
