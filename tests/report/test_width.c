/* No line is wider than asked for, whatever people wrote and whatever was measured. The C library
 * counts the columns (POSIX wcwidth). */
#define _XOPEN_SOURCE 700 /* NOLINT(bugprone-reserved-identifier): POSIX asks for this name */
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>

#include "evenhand/report.h"
#include "made.h"

static uint64_t state = 20251;

static uint32_t random_below(uint32_t n) {
    state = state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (uint32_t)(state >> 33) % n;
}

static double random_number(void) {
    static const double odd[] = {0.0, -0.0, 1e-9, 1e11, -1e11, 1e300, 0.5, -3.0, 127.0};
    switch (random_below(4)) {
    case 0:
        return random_below(2) > 0 ? (double)NAN : (double)INFINITY;
    case 1:
        return odd[random_below(sizeof odd / sizeof odd[0])];
    default:
        return ((double)random_below(2000001) - 1000000.0) / 1000.0;
    }
}

/* Words, runs without a space, control characters, wide and combining characters, stray bytes. */
static void random_text(char *text, size_t size) {
    static const char *const pieces[] = {" ",
                                         "a",
                                         "word ",
                                         "\t",
                                         "\n",
                                         "\x1b[2J",
                                         "\x7f",
                                         "\xff",
                                         "\xC2\x9B",
                                         "\xC3\xA9",
                                         "\xE5\xA4\xAA",
                                         "e\xCC\x81",
                                         "\xF0\x9F\xA5\x81",
                                         "\xE2\x80\xAE",
                                         "0123456789abcdef",
                                         "\xE5",
                                         ". ",
                                         "\"\\"};
    size_t length = 0;
    const size_t most = random_below((uint32_t)size);
    for (;;) {
        const char *piece = pieces[random_below(sizeof pieces / sizeof pieces[0])];
        if (length + strlen(piece) >= most) {
            break;
        }
        memcpy(text + length, piece, strlen(piece));
        length += strlen(piece);
    }
    text[length] = '\0';
}

static void random_finding(struct made *made) {
    struct eh_finding *f =
        made_find(made, (enum eh_aspect)random_below(EH_ASPECT_COUNT),
                  (enum eh_side)random_below(3), (enum eh_verdict)random_below(EH_VERDICT_COUNT),
                  (enum eh_direction)random_below(EH_DIRECTION_COUNT));
    made_numbers(f, random_number(), random_number(), random_number(), random_number(),
                 random_number());
    f->n = random_below(2) > 0 ? random_below(100) : UINT32_MAX;
    f->bar_count = random_below(EH_FINDING_BARS + 1);
    for (uint32_t i = 0; i < f->bar_count; i++) {
        f->bars[i] = (int32_t)random_below(INT32_MAX);
    }
    random_text(f->text, sizeof f->text);
}

static void random_judgement(struct made *made) {
    made_case(made, made_case_name(random_below(4)));
    struct eh_judgement *j = &made->judgement;
    for (int i = (int)random_below(30); i > 0; i--) {
        random_finding(made);
    }
    for (size_t i = 0; i < made->take.count; i++) {
        made->take.hits[i].at_ns += (int64_t)random_below(1000) * EH_NS_PER_MS * 1000;
    }
    random_text(made->take.source, sizeof made->take.source);
    random_text(made->style.name, sizeof made->style.name);
    random_text(made->pad.levels.name, sizeof made->pad.levels.name);
    j->bpm = random_number();
    j->offset_ms = random_number();
    j->drift_percent = random_number();
    j->missed = random_below(2) > 0 ? UINT32_MAX : 3;
    j->extra = random_below(2) > 0 ? UINT32_MAX : 3;
    made->take.dropped = random_below(2) > 0 ? UINT32_MAX : 0;
}

static int failures;

/* Columns of the LENGTH bytes at LINE; -1 for what cannot be shown. */
static int columns(const char *line, size_t length) {
    wchar_t wide[4096];
    char copy[4096];
    if (length >= sizeof copy) {
        return -1;
    }
    memcpy(copy, line, length);
    copy[length] = '\0';
    const size_t n = mbstowcs(wide, copy, 4096);
    return n == (size_t)-1 ? -1 : wcswidth(wide, n);
}

static void check(const char *what, const char *text, int width) {
    for (const char *line = text; *line != '\0';) {
        const size_t length = strcspn(line, "\n");
        const int found = columns(line, length);
        if (found < 0 || found > width) {
            failures++;
            printf("%s: %d columns where %d are allowed: %.*s\n", what, found, width, (int)length,
                   line);
        }
        line += length + (line[length] == '\n');
    }
}

static void check_judgement(const struct made *made, int width) {
    const struct eh_report_look look = {.width = width};
    struct eh_text text = {0};
    if (eh_report_judgement(&made->judgement, &look, &text) != EH_OK) {
        failures++;
    }
    check("report", eh_text_string(&text), width);
    eh_text_deinit(&text);
    char headline[200];
    eh_report_headline(&made->judgement, headline, sizeof headline);
    check("headline", headline, 60);
}

static void check_compared(const struct made *made, int width) {
    const struct eh_report_look look = {.width = width};
    struct eh_text text = {0};
    struct made other;
    random_judgement(&other);
    if (eh_report_compare(&made->judgement, &other.judgement, &look, &text) != EH_OK) {
        failures++;
    }
    check("compared", eh_text_string(&text), width);
    eh_text_deinit(&text);
    made_deinit(&other);
}

static void check_contrast(const struct made *made, int width) {
    const struct eh_report_look look = {.width = width};
    struct eh_text text = {0};
    struct eh_style higher = made->style;
    struct eh_contrast contrast;
    random_text(higher.name, sizeof higher.name);
    (void)eh_contrast_init(&contrast, &made->style, &higher);
    struct eh_contrast_answer answer = {
        .difference = {random_number(), random_number(), random_number(), random_below(1000)},
        .verdict = (enum eh_contrast_verdict)random_below(4),
        .reason = (enum eh_contrast_reason)random_below(6),
        .at_least = random_below(2) > 0};
    for (int i = 0; i < 2; i++) {
        answer.heights[i] = (struct eh_contrast_height){
            .height = {random_number(), random_number(), random_number(), random_below(1000)},
            .limit_low = random_number(),
            .limit_high = random_number(),
            .verdict = (enum eh_verdict)random_below(EH_VERDICT_COUNT),
            .at_top = random_below(2) > 0};
    }
    const struct eh_report_contrast report = {.contrast = &contrast, .answer = &answer};
    eh_report_contrast_ask(&higher, 1, (int)random_below(101), &look, &text);
    eh_report_contrast_pass(&made->judgement, &look, &text);
    if (eh_report_contrast(&report, &look, &text) != EH_OK) {
        failures++;
    }
    check("contrast", eh_text_string(&text), width);
    eh_text_deinit(&text);
}

static void check_bar(int width) {
    const struct eh_report_look look = {.width = width};
    const struct eh_bar_summary bar = {.written = (int32_t)random_below(INT32_MAX),
                                       .pass = (int32_t)random_below(3),
                                       .strokes = random_below(20),
                                       .matched = random_below(3),
                                       .missed = random_below(2) * UINT32_MAX,
                                       .extra = random_below(2) * UINT32_MAX,
                                       .offset_ms = random_number(),
                                       .spacing_left = random_number(),
                                       .spacing_right = random_number(),
                                       .lift_db = random_number()};
    struct eh_text text = {0};
    eh_report_bar_line(&bar, &look, &text);
    eh_text_add_char(&text, '\n');
    char label[100];
    random_text(label, sizeof label);
    const int beats = 1 + (int)random_below(255);
    eh_report_beat(label, 1 + (int)random_below((uint32_t)beats), beats, &look, &text);
    check("bar and beat", eh_text_string(&text), width);
    eh_text_deinit(&text);
}

static void check_history(int width) {
    const struct eh_report_look look = {.width = width};
    char words[6][256];
    for (size_t i = 0; i < 6; i++) {
        random_text(words[i], sizeof words[i]);
    }
    const struct eh_run_row row = {
        .number = random_below(100000),
        .started_utc_s = random_below(UINT32_MAX),
        .source = (enum eh_run_source)random_below(3),
        .ended = (enum eh_run_ended)random_below(5),
        .player = words[0],
        .demo_fault = words[1],
        .exercise = words[2],
        .style = words[3],
        .tempo_bpm = 20.0 + random_below(380),
        .no_click = random_below(2) > 0,
        .dropped = random_below(3),
        .judged = random_below(2) > 0,
        .verdict = {.headline = words[4], .faults = random_below(49), .unclear = random_below(49)}};
    struct eh_text text = {0};
    if (eh_report_history(&row, 1, &look, &text) != EH_OK) {
        failures++;
    }
    check("history", eh_text_string(&text), width);
    eh_text_deinit(&text);
}

int main(void) {
    if (setlocale(LC_CTYPE, "C.UTF-8") == NULL) {
        puts("the locale C.UTF-8 is missing");
        return 1;
    }
    for (int i = 0; i < 1500; i++) {
        const int width = EH_REPORT_WIDTH_LEAST + (int)random_below(90);
        struct made made;
        random_judgement(&made);
        check_judgement(&made, width);
        check_compared(&made, width);
        check_contrast(&made, width);
        check_bar(width);
        check_history(width);
        made_deinit(&made);
    }
    printf("%d lines are too wide or cannot be shown\n", failures);
    return failures > 0;
}
