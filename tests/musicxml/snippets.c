#include "snippets.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

#include "alike.h"
#include "evenhand/exercise_text.h"

void wrap_snippet(const char *measures, struct eh_text *out) {
    eh_text_add(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                     "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\">"
                     "<part-name>Snare</part-name></score-part></part-list>\n<part id=\"P1\">");
    const char *open = strchr(measures, '>') + 1;
    eh_text_add_bytes(out, measures, (size_t)(open - measures));
    eh_text_add(out, "<attributes><divisions>12</divisions><clef><sign>percussion</sign></clef>"
                     "</attributes>");
    eh_text_add(out, open);
    eh_text_add(out, "</part></score-partwise>\n");
}

/* The music, in one line. */
static void music_of(const struct eh_exercise *exercise, struct eh_text *out) {
    struct eh_text text = {0};
    cr_assert_eq(eh_exercise_print(exercise, &text), EH_OK);
    for (const char *at = strstr(text.data, "\n\n") + 2; *at != '\0'; at++) {
        if (*at != '\n') {
            eh_text_add_char(out, *at);
        } else if (at[1] != '\0') {
            eh_text_add_char(out, ' ');
        }
    }
    eh_text_deinit(&text);
}

static void expect_remarks(const struct snippet *snippet,
                           const struct eh_musicxml_remarks *remarks) {
    bool found = snippet->remark == NULL;
    for (size_t i = 0; i < remarks->count; i++) {
        cr_assert_neq(snippet->remark, NULL, "%s: remark: %s", snippet->name,
                      remarks->rows[i].text);
        found = found || strstr(remarks->rows[i].text, snippet->remark) != NULL;
    }
    cr_assert(found, "%s: no remark \"%s\" but \"%s\"", snippet->name, snippet->remark,
              remarks->count > 0 ? remarks->rows[0].text : "");
}

void expect_snippet(const struct snippet *snippet) {
    struct eh_text document = {0};
    struct eh_text music = {0};
    struct eh_musicxml_remarks remarks = {0};
    wrap_snippet(snippet->measures, &document);
    struct eh_exercise *exercise =
        read_or_fail(snippet->name, document.data, document.length, &remarks);
    music_of(exercise, &music);
    cr_assert_str_eq(eh_text_string(&music), snippet->music, "%s: found\n%s\nexpected\n%s",
                     snippet->name, eh_text_string(&music), snippet->music);
    expect_remarks(snippet, &remarks);
    eh_musicxml_remarks_deinit(&remarks);
    eh_exercise_free(exercise);
    eh_text_deinit(&music);
    eh_text_deinit(&document);
}

static void expect_words(const char *name, const char *text, const char *words) {
    while (*words != '\0') {
        char word[200];
        const size_t length = strcspn(words, "|");
        cr_assert_lt(length, sizeof word);
        memcpy(word, words, length);
        word[length] = '\0';
        cr_assert_neq(strstr(text, word), NULL, "%s: \"%s\" is not in \"%s\"", name, word, text);
        words += length + (words[length] == '|');
    }
}

void expect_refused_bytes(const char *name, const void *bytes, size_t length, enum eh_status status,
                          const char *words) {
    struct eh_exercise *exercise = NULL;
    struct eh_musicxml_remarks remarks = {0};
    struct eh_error error;
    /* Of exactly this length, so that a sanitizer sees a read beyond it. */
    char *copy = malloc(length + (length == 0));
    memcpy(copy, bytes, length);
    const enum eh_status found = eh_musicxml_read(&exercise, copy, length, NULL, &remarks, &error);
    cr_assert_eq(found, status, "%s: %s: %s", name, eh_status_text(found),
                 found == EH_OK ? "" : error.text);
    cr_assert_eq(exercise, NULL, "%s", name);
    cr_assert_eq(error.status, status, "%s", name);
    cr_assert_eq(strchr(error.text, '\n'), NULL, "%s", name);
    expect_words(name, error.text, words);
    eh_musicxml_remarks_deinit(&remarks);
    free(copy);
}

void expect_refusal(const char *name, const char *measures, enum eh_status status,
                    const char *words) {
    struct eh_text document = {0};
    wrap_snippet(measures, &document);
    expect_refused_bytes(name, document.data, document.length, status, words);
    eh_text_deinit(&document);
}
