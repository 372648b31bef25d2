/* Every allocation of the report fails once: the status says so, and nothing leaks or crashes. */
#include <stdio.h>
#include <stdlib.h>

#include "evenhand/report.h"
#include "failing_malloc.h"
#include "made.h"

typedef enum eh_status (*writer)(const struct eh_judgement *judgement, struct eh_text *out);

static enum eh_status write_text(const struct eh_judgement *judgement, struct eh_text *out) {
    return eh_report_judgement(judgement, NULL, out);
}

/* Fails the first, second ... allocation until none is left to fail. */
static int fail_each(const char *name, writer write, const struct eh_judgement *judgement) {
    int failed = 0;
    for (long at = 0;; at++) {
        struct eh_text text = {0};
        until_failure = at;
        const enum eh_status status = write(judgement, &text);
        const bool reached = until_failure < 0;
        until_failure = -1;
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
