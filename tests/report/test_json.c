#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/report.h"
#include "json_value.h"
#include "made.h"
#include "number.h"

Test(report_json, beats_are_exact_fractions_of_quarter_notes_from_one) {
    const eh_ticks quarter = EH_TICKS_PER_QUARTER;
    static const struct {
        eh_ticks parts, of; /* of a quarter */
        const char *beat;
    } table[] = {
        {0, 1, "1"},
        {1, 8, "9/8"},
        {1, 4, "5/4"},
        {1, 2, "3/2"},
        {1, 1, "2"},
        {1, 3, "4/3"},
        {2, 3, "5/3"},
        {1, 6, "7/6"},
        {1, 5, "6/5"},
        {1, 7, "8/7"},
        {1, 9, "10/9"},
        {1, 12, "13/12"},
        {1, 16, "17/16"},
        {63, 16, "79/16"},
        {13, 4, "17/4"},
        {7, 2, "9/2"},
        {95, 1, "96"},
        {1, 64, "65/64"},
        {1, 20160, "20161/20160"},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        const eh_ticks in_bar = table[i].parts * quarter / table[i].of;
        cr_expect_str_eq(report_beat_fraction(in_bar).text, table[i].beat);
    }
}

Test(report_json, numbers_are_rounded_away_from_zero_at_ties_and_never_minus_nought) {
    static const struct {
        double value;
        int decimals;
        const char *text;
    } table[] = {
        {0.0, 0, "0"},         {-0.0, 3, "0.000"},    {0.5, 0, "1"},
        {-0.5, 0, "-1"},       {0.125, 2, "0.13"},    {-0.125, 2, "-0.13"},
        {-0.0004, 3, "0.000"}, {1.0, 3, "1.000"},     {12.3456, 3, "12.346"},
        {-8.25, 1, "-8.3"},    {9.9996, 3, "10.000"}, {999999999999.0, 3, "999999999999.000"},
        {1e12, 3, "?"},        {-1e300, 1, "?"},      {NAN, 2, "?"},
        {INFINITY, 2, "?"},    {-INFINITY, 2, "?"},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        cr_expect_str_eq(report_fixed(table[i].value, table[i].decimals).text, table[i].text);
    }
    cr_expect_str_eq(report_signed(0.04, 1).text, "0.0");
    cr_expect_str_eq(report_signed(0.05, 1).text, "+0.1");
    cr_expect_str_eq(report_signed(-3.0, 1).text, "-3.0");
}

Test(report_json, times_are_exact_to_the_microsecond) {
    static const struct {
        int64_t ns;
        const char *text;
    } table[] = {
        {0, "0.000"},
        {499, "0.000"},
        {500, "0.001"},
        {-499, "0.000"},
        {-500, "-0.001"},
        {2000000000, "2000.000"},
        {-1234567, "-1.235"},
        {INT64_MAX, "9223372036854.776"},
        {INT64_MIN, "-9223372036854.776"},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        cr_expect_str_eq(report_ms(table[i].ns).text, table[i].text);
    }
}

/* MIDI CA-031: the seven bits below the velocity count 1/128 each. */
Test(report_json, velocities_keep_the_fraction_that_the_kit_sent) {
    cr_expect_str_eq(report_velocity(512).text, "1");
    cr_expect_str_eq(report_velocity(127 * 512).text, "127");
    cr_expect_str_eq(report_velocity(38 * 512 + 4).text, "38.0078125");
    cr_expect_str_eq(report_velocity(64 * 512 + 256).text, "64.5");
    cr_expect_str_eq(report_velocity(65535).text, "127.998046875");
}

static const char *as_json(struct eh_text *text, double value) {
    eh_text_deinit(text);
    report_json_number(text, value, 3);
    return eh_text_string(text);
}

Test(report_json, unknown_numbers_are_null) {
    struct eh_text text = {0};
    cr_expect_str_eq(as_json(&text, NAN), "null");
    cr_expect_str_eq(as_json(&text, INFINITY), "null");
    cr_expect_str_eq(as_json(&text, -INFINITY), "null");
    cr_expect_str_eq(as_json(&text, 1e15), "null");
    cr_expect_str_eq(as_json(&text, -1.0), "-1.000");
    eh_text_deinit(&text);
}

/* RFC 8259, section 7. */
Test(report_json, strings_are_escaped) {
    struct eh_text text = {0};
    report_json_string(&text, "a\"b\\c/\n\t\x01\x7F \xC3\xA9 \xE2\x82\xAC \xF0\x9D\x84\x9E");
    cr_expect_str_eq(eh_text_string(&text),
                     "\"a\\\"b\\\\c/\\u000a\\u0009\\u0001\\u007f \xC3\xA9 \xE2\x82\xAC "
                     "\xF0\x9D\x84\x9E\"");
    eh_text_deinit(&text);
    report_json_string(&text, NULL);
    cr_expect_str_eq(eh_text_string(&text), "null");
    eh_text_deinit(&text);
}

static char *json_of(const struct made *made) {
    struct eh_text text = {0};
    cr_assert_eq(eh_report_json(&made->judgement, &text), EH_OK);
    return text.data;
}

Test(report_json, a_missed_stroke_has_a_null_hit_and_nothing_after_it) {
    struct made made;
    made_case(&made, "faulty");
    char *json = json_of(&made);
    size_t nulls = 0;
    for (const char *at = json; (at = strstr(at, "\"hit\": null },\n")) != NULL; at++) {
        nulls++;
    }
    cr_expect_eq(nulls, 2);
    free(json);
    made_deinit(&made);
}

Test(report_json, only_extra_hits_and_double_triggers_are_unmatched) {
    struct made made;
    made_case(&made, "faulty");
    char *json = json_of(&made);
    cr_expect_not_null(strstr(json, "  \"unmatched\": [\n"
                                    "    { \"hit\": 29, \"reason\": \"extra\" },\n"
                                    "    { \"hit\": 30, \"reason\": \"double-trigger\" }\n"
                                    "  ],\n"));
    free(json);
    made_deinit(&made);
}

Test(report_json, a_buzz_lists_all_of_its_hits_and_others_list_none) {
    struct made made;
    made_case(&made, "figured");
    char *json = json_of(&made);
    cr_expect_not_null(strstr(json, "\"kind\": \"buzz\", \"accent\": false, \"hit\": 3, "
                                    "\"hits\": [3, 4, 5], \"offset_ms\": 1.000"));
    size_t lists = 0;
    for (const char *at = json; (at = strstr(at, "\"hits\": [")) != NULL; at++) {
        lists++;
    }
    cr_expect_eq(lists, 4);
    free(json);
    made_deinit(&made);
}

Test(report_json, passes_are_told_apart_only_where_there_are_several) {
    struct made made;
    made_case(&made, "figured");
    char *json = json_of(&made);
    cr_expect_not_null(strstr(json, "{ \"bar\": 1, \"beat\": \"1\", \"pass\": 2, "));
    free(json);
    made_deinit(&made);
    made_case(&made, "clean");
    json = json_of(&made);
    cr_expect_null(strstr(json, "\"pass\""));
    free(json);
    made_deinit(&made);
}

Test(report_json, the_same_judgement_gives_the_same_bytes) {
    for (size_t i = 0; made_case_name(i) != NULL; i++) {
        struct made made;
        made_case(&made, made_case_name(i));
        char *once = json_of(&made);
        char *again = json_of(&made);
        cr_expect_str_eq(once, again);
        cr_expect_eq(once[strlen(once) - 1], '\n');
        free(once);
        free(again);
        made_deinit(&made);
    }
}

Test(report_json, a_failed_allocation_is_reported) {
    struct made made;
    made_case(&made, "clean");
    struct eh_text text = {.failed = true};
    cr_expect_eq(eh_report_json(&made.judgement, &text), EH_NO_MEMORY);
    cr_expect_eq(eh_report_judgement(&made.judgement, NULL, &text), EH_NO_MEMORY);
    cr_expect_eq(eh_report_history(NULL, 0, NULL, &text), EH_NO_MEMORY);
    made_deinit(&made);
}

static void expect_pad(struct made *made, const char *wanted) {
    struct eh_text text = {0};
    cr_assert_eq(eh_report_json(&made->judgement, &text), EH_OK);
    const char *line = strstr(eh_text_string(&text), "  \"pad\"");
    cr_assert_not_null(line);
    cr_expect(strncmp(line, wanted, strlen(wanted)) == 0, "%.200s", line);
    eh_text_deinit(&text);
}

Test(report_json, what_is_known_of_the_pad_is_told_and_what_is_not_is_null) {
    struct made made;
    made_init(&made, "metre: 4/4\n| 4:R L R L |\n", 100.0, 1);
    expect_pad(&made, "  \"pad\": { \"name\": \"default\", \"level_map\": \"default\", "
                      "\"calibrated\": null, \"level_scale_sd\": 0.1000, \"floor_velocity\": null, "
                      "\"top_velocity\": 127.000, \"delay_ms\": null, \"clock_ms\": null },\n");
    made.pad.calibrated_utc_s = 1794614400;
    made.pad.levels.scale_sd = 0.0625;
    made.pad.floor_velocity = 7.0;
    made.pad.top_velocity = 120.5;
    made.pad.delay_ns = -1234567;
    made.pad.clock_ns = 5 * EH_NS_PER_MS;
    expect_pad(&made, "  \"pad\": { \"name\": \"default\", \"level_map\": \"default\", "
                      "\"calibrated\": \"2026-11-14T00:00:00Z\", \"level_scale_sd\": 0.0625, "
                      "\"floor_velocity\": 7.000, \"top_velocity\": 120.500, "
                      "\"delay_ms\": -1.235, \"clock_ms\": 5.000 },\n");
    made_deinit(&made);
}
