/* How failures are described, and the text builder. */
#include <criterion/criterion.h>
#include <string.h>

#include "evenhand/status.h"
#include "evenhand/text.h"

Test(status, every_status_has_words_of_its_own) {
    for (int a = EH_OK; a <= EH_NO_FIT; a++) {
        const char *text = eh_status_text((enum eh_status)a);
        cr_expect_neq(text, NULL);
        cr_expect_neq(text[0], '\0');
        cr_expect_str_neq(text, "unknown status", "status %d", a);
        for (int b = EH_OK; b < a; b++) {
            cr_expect_str_neq(text, eh_status_text((enum eh_status)b), "%d and %d", a, b);
        }
    }
    cr_expect_str_eq(eh_status_text((enum eh_status)(EH_NO_FIT + 1)), "unknown status");
}

Test(status, a_cleared_error_has_no_place) {
    struct eh_error error;
    memset(&error, 0x55, sizeof error);
    eh_error_clear(&error);
    cr_expect_eq(error.status, EH_OK);
    cr_expect_eq(error.line, 0);
    cr_expect_eq(error.column, 0);
    cr_expect_eq(error.offset, -1);
    cr_expect_str_empty(error.text);
}

Test(status, failing_fills_words_and_place_and_returns_the_status) {
    struct eh_error error;
    eh_error_clear(&error);
    cr_expect_eq(eh_fail_at(&error, EH_BAD_SYNTAX, 3, 7, "%s of %d", "one", 2), EH_BAD_SYNTAX);
    cr_expect_eq(error.status, EH_BAD_SYNTAX);
    cr_expect_eq(error.line, 3);
    cr_expect_eq(error.column, 7);
    cr_expect_eq(error.offset, -1);
    cr_expect_str_eq(error.text, "one of 2");

    cr_expect_eq(eh_fail_offset(&error, EH_BAD_FORMAT, 12, "x"), EH_BAD_FORMAT);
    cr_expect_eq(error.offset, 12);
    cr_expect_eq(eh_fail(&error, EH_BUSY, "y"), EH_BUSY);
    cr_expect_eq(error.offset, 12, "the place stays");
    cr_expect_str_eq(error.text, "y");
}

Test(status, nobody_listening_is_no_mistake) {
    eh_error_clear(NULL);
    cr_expect_eq(eh_fail(NULL, EH_GONE, "x"), EH_GONE);
    cr_expect_eq(eh_fail_at(NULL, EH_GONE, 1, 1, "x"), EH_GONE);
    cr_expect_eq(eh_fail_offset(NULL, EH_GONE, 1, "x"), EH_GONE);
}

Test(status, words_that_are_too_long_are_cut_not_overrun) {
    char words[2 * EH_ERROR_TEXT];
    memset(words, 'w', sizeof words);
    words[sizeof words - 1] = '\0';
    struct eh_error error;
    eh_error_clear(&error);
    (void)eh_fail(&error, EH_BAD_SYNTAX, "%s", words);
    cr_expect_eq(strlen(error.text), EH_ERROR_TEXT - 1);
}

Test(text, grows_by_every_kind_of_piece_and_keeps_zero_bytes) {
    struct eh_text text = {0};
    cr_expect_str_empty(eh_text_string(&text));
    eh_text_add(&text, "bar ");
    eh_text_printf(&text, "%d of %s", 12, "twenty");
    eh_text_add_char(&text, '.');
    cr_expect_str_eq(eh_text_string(&text), "bar 12 of twenty.");
    eh_text_add_bytes(&text, "\0x", 2);
    cr_expect_eq(text.length, 19);
    cr_expect_eq(memcmp(text.data + 17, "\0x", 3), 0, "with the closing zero");
    for (int i = 0; i < 100000; i++) {
        eh_text_add(&text, "0123456789");
    }
    cr_expect_eq(text.length, 1000019);
    cr_expect_eq(eh_text_status(&text), EH_OK);
    eh_text_deinit(&text);
    cr_expect_eq(text.length, 0);
}

/* The distance is that of optimal string alignment (Damerau 1964, Levenshtein 1966; restricted
 * edit distance). The kitten/sitting value is the usual example of the latter. */
Test(text, counts_single_character_edits) {
    static const struct {
        const char *a;
        const char *b;
        int distance;
    } rows[] = {
        {"", "", 0},         {"", "abc", 3},      {"kitten", "sitting", 3},
        {"flam", "flam", 0}, {"Flam", "fLAM", 0}, {"flam", "falm", 1},
        {"roll", "rol", 1},  {"ca", "abc", 3},    {"paradiddle", "paradidle", 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        cr_expect_eq(eh_text_distance(rows[i].a, rows[i].b), rows[i].distance, "row %zu", i);
        cr_expect_eq(eh_text_distance(rows[i].b, rows[i].a), rows[i].distance, "row %zu", i);
    }
}
