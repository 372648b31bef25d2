#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "decimal.h"
#include "evenhand/settings.h"
#include "keys.h"

static enum eh_status parse(struct eh_style *style, const char *text, struct eh_error *error) {
    return eh_style_parse(style, text, strlen(text), error);
}

Test(style, shipped_styles_are_complete) {
    for (size_t i = 0; eh_style_shipped_name(i) != NULL; i++) {
        const char *name = eh_style_shipped_name(i);
        const char *text = eh_style_shipped_text(name);
        size_t count = 0;
        const struct style_key *keys = style_keys(&count);
        for (size_t k = 0; k < count; k++) {
            char line[64];
            snprintf(line, sizeof line, "\n%s = ", keys[k].name);
            cr_expect_not_null(strstr(text, line), "%s lacks %s", name, keys[k].name);
        }
        cr_expect_not_null(strstr(text, "\nforbidden = "));
        struct eh_style style;
        struct eh_error error;
        cr_assert_eq(eh_style_shipped(&style, name, &error), EH_OK, "%s", error.text);
        cr_expect_str_eq(style.name, name);
    }
    cr_expect_not_null(eh_style_shipped_text("concert"));
    cr_expect_not_null(eh_style_shipped_text("rudimental"));
}

/* One dynamic mark is about 3 dB: heights of 3, 4.5, 6, 9, 12 inches for p to ff (common practice,
 * no source) taken as amplitudes give 3.5, 2.5, 3.5, 2.5 dB. */
Test(style, one_mark_is_right_in_concert_and_under_in_rudimental) {
    static const double inches[] = {3.0, 4.5, 6.0, 9.0, 12.0};
    struct eh_style concert, rudimental;
    cr_assert_eq(eh_style_shipped(&concert, "concert", NULL), EH_OK);
    cr_assert_eq(eh_style_shipped(&rudimental, "rudimental", NULL), EH_OK);
    for (int i = 0; i < 4; i++) {
        double one = 20.0 * log10(inches[i + 1] / inches[i]);
        cr_expect(one > concert.accent_low_db && one < concert.accent_high_db);
        cr_expect_lt(one, rudimental.accent_low_db);
    }
    for (int i = 0; i < 3; i++) {
        double two = 20.0 * log10(inches[i + 2] / inches[i]);
        cr_expect_gt(two, concert.accent_high_db);
        cr_expect(two > rudimental.accent_low_db && two < rudimental.accent_high_db);
    }
    double three = 20.0 * log10(inches[3] / inches[0]);
    cr_expect_gt(three, concert.accent_high_db);
    cr_expect(three > rudimental.accent_low_db && three < rudimental.accent_high_db);
    cr_expect(concert.rim_forbidden && !rudimental.rim_forbidden);
}

Test(style, what_is_left_out_comes_from_the_base) {
    struct eh_style base, style;
    cr_assert_eq(eh_style_shipped(&base, "concert", NULL), EH_OK);
    const char *text =
        "[style]\r\nname=mine\nbased_on = concert\n[accent]\nhigh_db = 5.25 ; more\n";
    cr_assert_eq(parse(&style, text, NULL), EH_OK);
    cr_expect_str_eq(style.name, "mine");
    cr_expect_eq(style.accent_high_db, 5.25);
    cr_expect_eq(style.accent_low_db, base.accent_low_db);
    cr_expect(style.rim_forbidden);
    cr_assert_eq(parse(&style, "[rim]\nforbidden = yes\n", NULL), EH_OK);
    cr_assert_eq(eh_style_shipped(&base, "rudimental", NULL), EH_OK);
    cr_expect_eq(style.accent_high_db, base.accent_high_db);
    cr_expect_str_eq(style.name, "rudimental");
}

Test(style, printed_and_parsed_again_is_the_same) {
    for (size_t i = 0; eh_style_shipped_name(i) != NULL; i++) {
        struct eh_style style, again;
        memset(&again, 0, sizeof again);
        cr_assert_eq(eh_style_shipped(&style, eh_style_shipped_name(i), NULL), EH_OK);
        style.timing_share = 0.123456;
        struct eh_text text = {0};
        eh_style_print(&style, &text);
        cr_assert_eq(parse(&again, eh_text_string(&text), NULL), EH_OK);
        cr_expect_str_eq(again.title, style.title);
        cr_expect_eq(again.timing_share, style.timing_share);
        cr_expect_eq(again.least_n, style.least_n);
        struct eh_text second = {0};
        eh_style_print(&again, &second);
        cr_expect_str_eq(eh_text_string(&second), eh_text_string(&text));
        eh_text_deinit(&text);
        eh_text_deinit(&second);
    }
}

Test(style, each_mistake_is_told_with_its_line) {
    static const struct {
        const char *text;
        enum eh_status status;
        int line;
        const char *word;
    } rows[] = {
        {"[accent]\nlow_dp = 3\n", EH_NOT_FOUND, 2, "\"low_db\""},
        {"\n[acent]\nlow_db = 3\n", EH_NOT_FOUND, 3, "[accent]"},
        {"low_db = 3\n", EH_BAD_SYNTAX, 1, "before the first section"},
        {"[accent]\nlow_db = 3,5\n", EH_BAD_SYNTAX, 2, "3,5"},
        {"[accent]\nlow_db = \n", EH_BAD_SYNTAX, 2, "number"},
        {"[accent]\nlow_db = nan\n", EH_BAD_SYNTAX, 2, "nan"},
        {"[accent]\nlow_db = 41\n", EH_OUT_OF_RANGE, 2, "between 0 and 40"},
        {"[accent]\nlow_db = -0.1\n", EH_OUT_OF_RANGE, 2, "between 0 and 40"},
        {"[accent]\nlow_db = 3\nlow_db = 3\n", EH_BAD_SYNTAX, 3, "line 2"},
        {"[accent]\nlow_db = 13\n", EH_OUT_OF_RANGE, 2, "smaller"},
        {"[accent]\nnonsense\n", EH_BAD_SYNTAX, 2, "key = value"},
        {"[accent\nlow_db = 3\n", EH_BAD_SYNTAX, 1, "section"},
        {"[rim]\nforbidden = maybe\n", EH_BAD_SYNTAX, 2, "yes or no"},
        {"[style]\nname = A B\n", EH_BAD_SYNTAX, 2, "small letters"},
        {"[style]\nbased_on = concerto\n", EH_NOT_FOUND, 2, "concert or rudimental"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_style style = {.name = "kept"};
        struct eh_error error;
        cr_expect_eq(parse(&style, rows[i].text, &error), rows[i].status, "row %zu: %s", i,
                     error.text);
        cr_expect_eq(error.line, rows[i].line, "row %zu: line %d", i, error.line);
        cr_expect_not_null(strstr(error.text, rows[i].word), "row %zu: %s", i, error.text);
        cr_expect_str_eq(style.name, "kept");
    }
}

Test(style, a_line_of_190_characters_passes_and_one_of_191_does_not) {
    for (int length = EH_STYLE_LINE_MAX; length <= EH_STYLE_LINE_MAX + 1; length++) {
        char text[256];
        memset(text, ';', (size_t)length);
        snprintf(text + length, sizeof text - (size_t)length, "\n[accent]\nlow_db = 3\n");
        struct eh_style style;
        struct eh_error error;
        enum eh_status wanted = length == EH_STYLE_LINE_MAX ? EH_OK : EH_BAD_SYNTAX;
        cr_expect_eq(parse(&style, text, &error), wanted, "%d: %s", length, error.text);
    }
    struct eh_style style;
    cr_expect_eq(eh_style_parse(&style, "[accent]\n\0low", 13, NULL), EH_BAD_SYNTAX);
}

Test(style, an_unknown_style_is_answered_with_the_nearest) {
    struct eh_style style;
    struct eh_error error;
    cr_expect_eq(eh_style_shipped(&style, "consert", &error), EH_NOT_FOUND);
    cr_expect_not_null(strstr(error.text, "concert"));
}

Test(style, decimals_do_not_depend_on_the_locale) {
    static const struct {
        const char *text;
        bool good;
        double value;
    } rows[] = {
        {"0.05", true, 0.05}, {"-12", true, -12.0}, {".5", true, 0.5},    {"5.", true, 5.0},
        {"", false, 0},       {".", false, 0},      {"1e3", false, 0},    {"1,5", false, 0},
        {"0x10", false, 0},   {"+1", false, 0},     {"1 ", false, 0},     {"--1", false, 0},
        {"1.2.3", false, 0},  {"0.1", true, 0.1},   {"4.35", true, 4.35},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double value = 0;
        cr_expect_eq(decimal_read(rows[i].text, &value), rows[i].good, "%s", rows[i].text);
        cr_expect(!rows[i].good || value == rows[i].value, "%s", rows[i].text);
    }
    struct eh_text text = {0};
    static const double values[] = {0.05, -2.5, 3, -0.0000001, 12.000001};
    for (size_t i = 0; i < 5; i++) {
        decimal_write(&text, values[i]);
        eh_text_add_char(&text, ' ');
    }
    cr_expect_str_eq(eh_text_string(&text), "0.05 -2.5 3 0 12.000001 ");
    eh_text_deinit(&text);
}
