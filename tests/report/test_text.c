/* What the player reads. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/report.h"
#include "made.h"
#include "rank.h"

static char *read_file(const char *name) {
    char path[512];
    (void)snprintf(path, sizeof path, "%s/tests/report/golden/%s", EVENHAND_SOURCE_DIR, name);
    FILE *file = fopen(path, "rb");
    cr_assert_not_null(file, "%s is missing", path);
    char *text = calloc(1, 1 << 16);
    const size_t length = fread(text, 1, (1 << 16) - 1, file);
    cr_assert_lt(length, (1 << 16) - 1);
    (void)fclose(file);
    return text;
}

/* Names the first line that differs. */
static void expect_same(const char *name, const char *found, const char *expected) {
    int line = 1;
    while (*found != '\0' && *found == *expected) {
        line += *found == '\n';
        found++;
        expected++;
    }
    cr_expect(*found == *expected, "%s: line %d differs from \"%.40s\": \"%.40s\"", name, line,
              expected, found);
}

/* Made by "report_dump text CASE WIDTH", read and approved by a person. */
Test(report_text, the_end_report_reads_as_approved) {
    static const struct {
        const char *name, *file;
        int width;
    } table[] = {{"clean", "clean-80.txt", 80},
                 {"faulty", "faulty-80.txt", 80},
                 {"faulty", "faulty-48.txt", 48},
                 {"figured", "figured-80.txt", 80},
                 {"odd-text", "odd-text-60.txt", 60}};
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        struct made made;
        struct eh_text text = {0};
        const struct eh_report_look look = {.width = table[i].width};
        made_case(&made, table[i].name);
        cr_assert_eq(eh_report_judgement(&made.judgement, &look, &text), EH_OK);
        char *expected = read_file(table[i].file);
        expect_same(table[i].file, eh_text_string(&text), expected);
        free(expected);
        eh_text_deinit(&text);
        made_deinit(&made);
    }
}

/* Takes SGR escapes out of TEXT, which it changes. */
static void strip_colour(char *text) {
    char *to = text;
    for (const char *at = text; *at != '\0'; at++) {
        if (*at == '\x1b') {
            at = strchr(at, 'm');
        } else {
            *to++ = *at;
        }
    }
    *to = '\0';
}

/* 2026-11-14 is 12 days before 2026-11-26 (GNU date: 1794614400 and 1795651200 seconds). */
Test(report_text, the_pad_is_told_with_the_age_of_its_calibration) {
    static const struct {
        int64_t calibrated_s, played_s;
        const char *text;
    } rows[] = {
        {0, 1795651200, "pad \"kit\", not calibrated"},
        {1794614400, 0, "pad \"kit\", calibrated 2026-11-14"},
        {1794614400, 1795651200, "pad \"kit\", calibrated 2026-11-14 (12 days old)"},
        {1794614400, 1795651199, "pad \"kit\", calibrated 2026-11-14 (11 days old)"},
        {1794614400, 1794614400 + 86400, "pad \"kit\", calibrated 2026-11-14 (1 day old)"},
        {1794614400, 1794614400 + 86399,
         "pad \"kit\", calibrated 2026-11-14 (less than a day old)"},
        {1794614400, 1794614399,
         "pad \"kit\", calibrated 2026-11-14 (later than this: one of the two clocks is wrong)"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct eh_pad pad = {.name = "kit", .calibrated_utc_s = rows[i].calibrated_s};
        struct eh_text text = {0};
        eh_report_pad(&pad, rows[i].played_s, &text);
        cr_expect_str_eq(eh_text_string(&text), rows[i].text);
        eh_text_deinit(&text);
    }
}

Test(report_text, colour_adds_escapes_and_no_meaning) {
    struct made made;
    struct eh_text plain = {0};
    struct eh_text coloured = {0};
    const struct eh_report_look look = {.colour = true};
    made_case(&made, "faulty");
    cr_assert_eq(eh_report_judgement(&made.judgement, NULL, &plain), EH_OK);
    cr_assert_eq(eh_report_judgement(&made.judgement, &look, &coloured), EH_OK);
    cr_expect_null(strchr(plain.data, '\x1b'));
    cr_expect_not_null(strchr(coloured.data, '\x1b'));
    strip_colour(coloured.data);
    cr_expect_str_eq(coloured.data, plain.data);
    eh_text_deinit(&plain);
    eh_text_deinit(&coloured);
    made_deinit(&made);
}

static double weigh(double value, double low, double high, uint32_t n) {
    struct eh_finding f = {.fault = EH_FAULT_YES, .n = n};
    made_numbers(&f, value, NAN, NAN, low, high);
    return report_weight(&f);
}

Test(report_text, faults_weigh_by_excess_and_by_strokes) {
    cr_expect_float_eq(weigh(0.65, 0.45, 0.55, 16), 4.0, 1e-9); /* one width, four root 16 */
    cr_expect_float_eq(weigh(0.35, 0.45, 0.55, 16), 4.0, 1e-9);
    cr_expect_float_eq(weigh(0.65, 0.45, 0.55, 64), 8.0, 1e-9);
    cr_expect_float_eq(weigh(30.0, NAN, 15.0, 4), 2.0, 1e-9);
    cr_expect_float_eq(weigh(1.0, 2.0, NAN, 4), 1.0, 1e-9);
    cr_expect_float_eq(weigh(9.0, NAN, 0.0, 100), 40.0, 1e-9);  /* no width: the most */
    cr_expect_float_eq(weigh(0.5, 0.45, 0.55, 100), 1.0, 1e-9); /* inside: the least */
    cr_expect_float_eq(weigh(NAN, NAN, NAN, 100), 1.0, 1e-9);
    struct eh_finding fine = {.fault = EH_FAULT_NO, .n = 100, .value = 9.0};
    cr_expect_eq(report_weight(&fine), 0.0);
}

Test(report_text, at_most_three_faults_come_first) {
    struct made made;
    struct eh_text text = {0};
    made_case(&made, "faulty");
    cr_assert_eq(eh_report_judgement(&made.judgement, NULL, &text), EH_OK);
    const char *third = strstr(text.data, "\n 3. ");
    const char *later = strstr(text.data, "\nLater\n");
    const char *fourth = strstr(text.data, "\n 4. ");
    cr_expect(third != NULL && third < later && later < fourth);
    eh_text_deinit(&text);
    made_deinit(&made);
}

static void expect_headline(const char *name, const char *expected) {
    struct made made;
    char line[EH_REPORT_HEADLINE];
    made_case(&made, name);
    eh_report_headline(&made.judgement, line, sizeof line);
    cr_expect_str_eq(line, expected);
    made_deinit(&made);
}

Test(report_text, headlines_name_the_weightiest_faults_with_their_numbers) {
    expect_headline("clean", "no fault in 31 strokes");
    expect_headline("faulty", "2 missed; left seconds late 0.61; +2");
    expect_headline("figured", "left buzzes thin 2.5 notes");
}

Test(report_text, a_headline_fits_into_whatever_room_there_is) {
    struct made made;
    made_case(&made, "faulty");
    for (size_t size = 1; size < 70; size++) {
        char line[80];
        memset(line, 'x', sizeof line);
        eh_report_headline(&made.judgement, line, size);
        cr_expect(memchr(line, '\0', size) != NULL && line[size] == 'x');
    }
    eh_report_headline(&made.judgement, NULL, 0);
    made_deinit(&made);
}

Test(report_text, the_tally_counts_faults_fine_and_unclear) {
    struct made made;
    made_case(&made, "faulty");
    const struct eh_report_tally tally = eh_report_tally(&made.judgement);
    cr_expect_eq(tally.faults, 4);
    cr_expect_eq(tally.fine, 5);
    cr_expect_eq(tally.unclear, 1);
    made_deinit(&made);
}

static void expect_bar(struct eh_bar_summary bar, const char *expected) {
    struct eh_text text = {0};
    eh_report_bar_line(&bar, NULL, &text);
    cr_expect_str_eq(eh_text_string(&text), expected);
    eh_text_deinit(&text);
}

static struct eh_bar_summary full_bar(void) {
    return (struct eh_bar_summary){.written = 4,
                                   .strokes = 10,
                                   .matched = 10,
                                   .offset_ms = 3.0,
                                   .spacing_left = NAN,
                                   .spacing_right = NAN,
                                   .lift_db = NAN};
}

Test(report_text, a_bar_line_says_what_stands_out) {
    struct eh_bar_summary bar = full_bar();
    expect_bar(bar, "Bar 4     all there\n");
    bar.missed = 2;
    bar.matched = 8;
    expect_bar(bar, "Bar 4     2 missed\n");
    bar.spacing_left = 0.614;
    expect_bar(bar, "Bar 4     2 missed  left seconds 0.61\n");
    bar.extra = 1;
    expect_bar(bar, "Bar 4     2 missed  1 extra\n");
    bar = full_bar();
    bar.pass = 1;
    bar.spacing_left = 0.45;
    bar.spacing_right = 0.39;
    bar.offset_ms = -31.4;
    expect_bar(bar, "Pass 2, bar 4     right seconds 0.39  31 ms early\n");
    bar = full_bar();
    bar.matched = 0;
    bar.missed = 10;
    expect_bar(bar, "Bar 4     nothing heard\n");
    bar = (struct eh_bar_summary){.written = 12, .offset_ms = NAN};
    bar.spacing_left = bar.spacing_right = NAN;
    expect_bar(bar, "Bar 12    rest\n");
}

/* The limits of a glance are our own; here both sides of each. */
Test(report_text, a_bar_line_keeps_quiet_up_to_its_limits) {
    struct eh_bar_summary bar = full_bar();
    bar.offset_ms = 24.99;
    expect_bar(bar, "Bar 4     all there\n");
    bar.offset_ms = 25.0;
    expect_bar(bar, "Bar 4     25 ms late\n");
    bar = full_bar();
    bar.spacing_left = 0.6;
    expect_bar(bar, "Bar 4     all there\n");
    bar.spacing_left = 0.601;
    expect_bar(bar, "Bar 4     left seconds 0.60\n");
    bar.spacing_left = 0.399;
    expect_bar(bar, "Bar 4     left seconds 0.40\n");
}

Test(report_text, beats_of_a_metre_are_equally_wide) {
    static const struct {
        const char *label;
        int beat, beats;
        const char *expected;
    } table[] = {{NULL, 1, 4, "1 . . ."},
                 {"", 4, 4, ". . . 4"},
                 {"count-in", 2, 3, "count-in  . 2 ."},
                 {NULL, 12, 12, ".  .  .  .  .  .  .  .  .  .  .  12"},
                 {NULL, 1, 12, "1  .  .  .  .  .  .  .  .  .  .  . "},
                 {NULL, 7, 64, "  7 of 64"},
                 {NULL, 1, 1, "1"}};
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        struct eh_text text = {0};
        eh_report_beat(table[i].label, table[i].beat, table[i].beats, NULL, &text);
        cr_expect_str_eq(eh_text_string(&text), table[i].expected);
        eh_text_deinit(&text);
    }
}

/* NIOSH, Criteria for a Recommended Standard: Occupational Noise Exposure (1998): 85 dBA as an
 * eight-hour average, 3 dB exchange rate. */
Test(report_text, the_caution_names_strain_hearing_rest_and_whom_to_ask) {
    static const char *const words[] = {"hurts",           "tingles",     "numb",          "rest",
                                        "85 dBA",          "8 hours",     "3 dB",          "doctor",
                                        "physiotherapist", "audiologist", "where you live"};
    struct eh_text text = {0};
    const struct eh_report_look look = {.width = 400};
    eh_report_caution(&look, &text);
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        cr_expect_not_null(strstr(eh_text_string(&text), words[i]), "%s", words[i]);
    }
    eh_text_deinit(&text);
}
