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

static enum eh_status write_compared(const struct eh_judgement *judgement, struct eh_text *out) {
    struct eh_judgement other = *judgement;
    other.findings[0].verdict = EH_VERDICT_UNCLEAR; /* so that something differs */
    return eh_report_compare(judgement, &other, NULL, out);
}

static enum eh_status write_compared_json(const struct eh_judgement *judgement,
                                          struct eh_text *out) {
    return eh_report_compare_json(judgement, judgement, out);
}

/* Two styles in turn, with one pass in the lower one. */
static enum eh_status write_contrast(const struct eh_judgement *judgement, struct eh_text *out,
                                     bool json) {
    struct eh_style higher = *judgement->style;
    higher.accent_low_db += 3.0;
    struct eh_contrast contrast;
    struct eh_contrast_answer answer;
    const struct eh_contrast_pass pass = eh_contrast_read(judgement);
    (void)eh_contrast_init(&contrast, judgement->style, &higher);
    (void)eh_contrast_add(&contrast, EH_CONTRAST_LOWER, &pass);
    eh_contrast_answer(&contrast, &answer);
    const struct eh_contrast_run run = {.number = 12};
    const struct eh_report_contrast report = {.contrast = &contrast,
                                              .answer = &answer,
                                              .title = eh_exercise_title(judgement->exercise),
                                              .first_bar = 1,
                                              .last_bar = 4,
                                              .bpm = 96.0,
                                              .runs = &run,
                                              .run_count = 1};
    if (json) {
        return eh_report_contrast_json(&report, out);
    }
    eh_report_contrast_ask(judgement->style, 1, 8, NULL, out);
    eh_report_contrast_pass(judgement, NULL, out);
    return eh_report_contrast(&report, NULL, out);
}

static enum eh_status write_contrast_text(const struct eh_judgement *judgement,
                                          struct eh_text *out) {
    return write_contrast(judgement, out, false);
}

static enum eh_status write_contrast_json(const struct eh_judgement *judgement,
                                          struct eh_text *out) {
    return write_contrast(judgement, out, true);
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
                       fail_each("json", eh_report_json, &made.judgement) +
                       fail_each("compared", write_compared, &made.judgement) +
                       fail_each("compared json", write_compared_json, &made.judgement) +
                       fail_each("contrast", write_contrast_text, &made.judgement) +
                       fail_each("contrast json", write_contrast_json, &made.judgement);
    made_deinit(&made);
    return failed > 0;
}
