/* What is said while somebody plays to no click: what came, never what did not. */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "evenhand/report.h"

static struct eh_plan_bar bars[] = {
    {.written = 1}, {.written = 12, .pass = 0}, {.written = 3, .pass = 2}};
static const struct eh_plan plan = {.bars = bars, .bar_count = 3};

static void expect_line(struct eh_free_bar bar, const char *line) {
    struct eh_text text = {0};
    eh_report_heard_line(&bar, &bars[bar.bar], NULL, &text);
    cr_expect_str_eq(eh_text_string(&text), line);
    eh_text_deinit(&text);
}

Test(report_heard, a_bar_is_told_with_what_was_heard_and_its_tempo_if_it_has_one) {
    expect_line((struct eh_free_bar){.bar = 1, .strokes = 16, .bpm = 96.6},
                "Bar 12    16 strokes heard, 97 to the quarter\n");
    expect_line((struct eh_free_bar){.bar = 0, .strokes = 1, .bpm = NAN},
                "Bar 1     1 stroke heard\n");
    expect_line((struct eh_free_bar){.bar = 2, .strokes = 7, .bpm = 40.2},
                "Pass 3, bar 3     7 strokes heard, 40 to the quarter\n");
}

static void expect_place(struct eh_free_place place, size_t hits, const char *line) {
    struct eh_text text = {0};
    eh_report_place(&place, &plan, hits, NULL, &text);
    cr_expect_str_eq(eh_text_string(&text), line);
    eh_text_deinit(&text);
}

Test(report_heard, the_place_is_told_as_far_as_it_is_known) {
    const struct eh_free_place nothing = {.known = false};
    const struct eh_free_place one = {.in = {.bar = 0, .strokes = 1, .bpm = NAN}};
    struct eh_free_place known = {.known = true, .in = {.bar = 1, .strokes = 9, .bpm = 71.4}};
    expect_place(nothing, 0, "in your own time");
    expect_place(nothing, 1, "1 hit so far");
    expect_place(one, 3, "3 hits so far; in bar 1");
    expect_place(known, 40, "40 hits so far; in bar 12, 71 to the quarter");
    known.loose = 3;
    expect_place(known, 43, "43 hits so far; in bar 12, 71 to the quarter");
    known.loose = 4;
    expect_place(known, 44, "44 hits so far; in bar 12, the latest 4 are not written there");
}

Test(report_heard, no_line_is_wider_than_asked_for) {
    const struct eh_free_place place = {
        .known = true, .in = {.bar = 2, .strokes = 9, .bpm = 71.4}, .loose = 4000000000U};
    const struct eh_report_look look = {.width = 40};
    struct eh_text text = {0};
    eh_report_place(&place, &plan, 123456789012, &look, &text);
    cr_expect_leq(strlen(eh_text_string(&text)), (size_t)39, "%s", eh_text_string(&text));
    eh_text_deinit(&text);
}
