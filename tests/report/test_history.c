/* The list of stored runs. */
#include <criterion/criterion.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "evenhand/report.h"

static struct eh_run_row row_at(int64_t utc_s, int32_t offset_s) {
    return (struct eh_run_row){
        .number = 12,
        .started_utc_s = utc_s,
        .utc_offset_s = offset_s,
        .ended = EH_RUN_COMPLETE,
        .player = "",
        .port = "",
        .demo_fault = "",
        .exercise = "five-stroke-rolls",
        .style = "rudimental",
        .tempo_bpm = 96.0,
        .judged = true,
        .verdict = {.headline = "left seconds late 0.61", .faults = 1, .unclear = 3}};
}

Test(report_history, a_run_takes_a_line_and_its_headline_another) {
    struct eh_run_row rows[3] = {row_at(1741544400, 3600), row_at(0, 0), row_at(1, 0)};
    rows[1].number = 3;
    rows[1].ended = EH_RUN_SILENCE;
    rows[1].judged = false;
    rows[1].source = EH_SOURCE_DEMO;
    rows[1].demo_fault = "late-left";
    rows[1].dropped = 2;
    rows[2].number = 2;
    rows[2].exercise = "a-name-far-too-long-for-any-column";
    rows[2].player = "A\x1bnn";
    struct eh_text text = {0};
    cr_assert_eq(eh_report_history(rows, 3, NULL, &text), EH_OK);
    cr_expect_str_eq(
        eh_text_string(&text),
        "  run  played            exercise                         tempo  faults  unclear\n"
        "   12  2025-03-09 19:20  five-stroke-rolls                   96       1        3\n"
        "       rudimental: left seconds late 0.61\n"
        "    3  1970-01-01 00:00  five-stroke-rolls                   96       -        -\n"
        "       rudimental: not judged; ended: silence; demo player: late-left; 2 hits\n"
        "       lost\n"
        "    2  1970-01-01 00:00  a-name-far-too-long-for-any-c..     96       1        3\n"
        "       rudimental: left seconds late 0.61; played by A?nn\n");
    eh_text_deinit(&text);
}

Test(report_history, a_run_without_a_click_has_its_own_tempo) {
    struct eh_run_row row = row_at(1741544400, 3600);
    struct eh_report_look look = {.width = 48};
    struct eh_text text = {0};
    row.no_click = true;
    cr_assert_eq(eh_report_history(&row, 1, NULL, &text), EH_OK);
    cr_expect_not_null(
        strstr(eh_text_string(&text),
               "   12  2025-03-09 19:20  five-stroke-rolls                  own       1        3\n"
               "       rudimental: left seconds late 0.61; without a click\n"));
    eh_text_deinit(&text);
    cr_assert_eq(eh_report_history(&row, 1, &look, &text), EH_OK);
    cr_expect_not_null(strstr(eh_text_string(&text), "rolls, own"), "%s", eh_text_string(&text));
    eh_text_deinit(&text);
}

Test(report_history, an_empty_history_says_so) {
    struct eh_text text = {0};
    cr_assert_eq(eh_report_history(NULL, 0, NULL, &text), EH_OK);
    cr_expect_str_eq(eh_text_string(&text), "No runs yet.\n");
    eh_text_deinit(&text);
}

/* Against the C library's calendar (POSIX.1-2017, gmtime_r). */
Test(report_history, dates_are_those_of_the_calendar) {
    uint64_t seed = 1;
    for (int i = 0; i < 300; i++) {
        seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
        const int64_t utc_s = (int64_t)(seed >> 32) * 30 - INT64_C(30000000000);
        const int32_t offset_s = (int32_t)(seed % 172801) - 86400;
        const struct eh_run_row row = row_at(utc_s, offset_s);
        const time_t local_s = (time_t)(utc_s + offset_s);
        struct tm tm;
        char expected[64];
        cr_assert_not_null(gmtime_r(&local_s, &tm));
        (void)snprintf(expected, sizeof expected, "  %04d-%02d-%02d %02d:%02d  five",
                       tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday, tm.tm_hour, tm.tm_min);
        struct eh_text text = {0};
        cr_assert_eq(eh_report_history(&row, 1, NULL, &text), EH_OK);
        cr_expect_not_null(strstr(text.data, expected), "%" PRId64 ": %s not in %s", utc_s,
                           expected, text.data);
        eh_text_deinit(&text);
    }
}
