#include "failing_malloc.h"

#include <stddef.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
void __real_free(void *old);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);
void __wrap_free(void *old);

long until_failure = -1;
long alive;

static int fails(void) {
    if (until_failure < 0) {
        return 0;
    }
    return until_failure-- == 0;
}

void *__wrap_malloc(size_t size) {
    void *got = fails() ? NULL : __real_malloc(size);
    alive += got != NULL;
    return got;
}

void *__wrap_calloc(size_t count, size_t size) {
    void *got = fails() ? NULL : __real_calloc(count, size);
    alive += got != NULL;
    return got;
}

void *__wrap_realloc(void *old, size_t size) {
    void *got = fails() ? NULL : __real_realloc(old, size);
    alive += got != NULL && old == NULL;
    return got;
}

void __wrap_free(void *old) {
    alive -= old != NULL;
    __real_free(old);
}
