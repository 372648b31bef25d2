/* Every allocation of the report fails once: the status says so, and nothing leaks or crashes. */
#include <stdio.h>
#include <stdlib.h>

#include "evenhand/report.h"
#include "made.h"

/* The linker gives these names (--wrap). NOLINTBEGIN(bugprone-reserved-identifier) */
void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);
/* NOLINTEND(bugprone-reserved-identifier) */

static long left = -1; /* allocations until one fails; -1 = none */

static bool fails(void) {
    return left >= 0 && left-- == 0;
}

void *__wrap_malloc(size_t size) {
    return fails() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t count, size_t size) {
    return fails() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *old, size_t size) {
    return fails() ? NULL : __real_realloc(old, size);
}

typedef enum eh_status (*writer)(const struct eh_judgement *judgement, struct eh_text *out);

static enum eh_status write_text(const struct eh_judgement *judgement, struct eh_text *out) {
    return eh_report_judgement(judgement, NULL, out);
}

/* Fails the first, second ... allocation until none is left to fail. */
static int fail_each(const char *name, writer write, const struct eh_judgement *judgement) {
    int failed = 0;
    for (long at = 0;; at++) {
        struct eh_text text = {0};
        left = at;
        const enum eh_status status = write(judgement, &text);
        const bool reached = left < 0;
        left = -1;
        eh_text_deinit(&text);
        if (!reached) {
            printf("%s: %ld allocations\n", name, at);
            return at > 0 ? failed : 1;
        }
        if (status != EH_NO_MEMORY) {
            printf("%s: allocation %ld failed unnoticed\n", name, at);
            failed++;
        }
    }
}

int main(void) {
    struct made made;
    made_case(&made, "figured");
    const int failed = fail_each("text", write_text, &made.judgement) +
                       fail_each("json", eh_report_json, &made.judgement);
    made_deinit(&made);
    return failed > 0;
}
