/* Bad texts: each file in data/bad says in its first line, a comment, where the mistake is and what
 * the message must be. */
#include <criterion/criterion.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "describe.h"

static const char folder[] = "tests/score/data/bad";

enum { LEAST_FILES = 80 };

/* "# 3:18: message" */
static void expect_as_stated(const char *name, const struct eh_text *text) {
    int line = 0;
    int column = 0;
    int read = 0;
    cr_assert_eq(sscanf(text->data, "# %d:%d: %n", &line, &column, &read), 2, "%s", name);
    char message[EH_ERROR_TEXT];
    const size_t length = strcspn(text->data + read, "\r\n");
    cr_assert_lt(length, sizeof message);
    memcpy(message, text->data + read, length);
    message[length] = '\0';
    expect_error(name, text->data, text->length, EH_BAD_SYNTAX, line, column, message);
}

Test(score_errors, every_bad_file_is_refused_at_its_place_with_its_message) {
    char full[1024];
    (void)snprintf(full, sizeof full, "%s/%s", EVENHAND_SOURCE_DIR, folder);
    DIR *directory = opendir(full);
    cr_assert_not_null(directory, "cannot open %s", full);
    int files = 0;
    for (const struct dirent *entry = readdir(directory); entry != NULL;
         entry = readdir(directory)) {
        if (strstr(entry->d_name, ".txt") == NULL) {
            continue;
        }
        char path[1024];
        struct eh_text text = {0};
        (void)snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        read_source_file(path, &text);
        expect_as_stated(entry->d_name, &text);
        eh_text_deinit(&text);
        files++;
    }
    (void)closedir(directory);
    cr_assert_geq(files, LEAST_FILES);
}

Test(score_errors, a_text_without_strokes_is_empty_and_says_so) {
    static const struct {
        const char *text;
        int line, column;
    } rows[] = {{"", 1, 1},
                {"\n\n", 1, 1},
                {"# nothing\n", 1, 1},
                {"title: T\n", 1, 9},
                {"| | |", 1, 6},
                {"metre: 2/4\n2:- | - |\n", 2, 10},
                {"\xef\xbb\xbf", 1, 1}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        expect_error(rows[i].text, rows[i].text, strlen(rows[i].text), EH_EMPTY, rows[i].line,
                     rows[i].column, "expected at least one note (R or L), found none");
    }
    expect_error("NULL", NULL, 0, EH_EMPTY, 1, 1, NULL);
}

Test(score_errors, utf_16_is_refused_with_what_to_do) {
    static const char text[] = "\xff\xfe"
                               "4\0:\0R\0";
    expect_error("UTF-16", text, sizeof text - 1, EH_BAD_SYNTAX, 1, 1,
                 "expected UTF-8 text, found the byte 0xFF: save the file as UTF-8");
}

Test(score_errors, only_the_given_bytes_are_read) {
    static const char text[] = {'1', ':', 'R', 'X'}; /* no NUL behind */
    struct eh_exercise *exercise = NULL;
    cr_assert_eq(eh_exercise_parse(&exercise, text, 3, NULL), EH_OK);
    eh_exercise_free(exercise);
    expect_error("one byte more", text, 4, EH_BAD_SYNTAX, 1, 4, NULL);
}
