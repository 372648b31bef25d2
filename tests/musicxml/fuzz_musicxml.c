/* One input for a fuzzer: whatever the bytes, reading ends in an exercise or in an error in words;
 * what was read can be kept as our text and written as MusicXML again. */
#include "fuzz_musicxml.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "evenhand/musicxml.h"

bool fuzz_accepted;

static void must(int holds, const char *what) {
    if (!holds) {
        (void)fprintf(stderr, "broken: %s\n", what);
        abort();
    }
}

static void check_error(const struct eh_error *error, enum eh_status status,
                        const struct eh_exercise *exercise) {
    must(exercise == NULL, "an exercise in spite of an error");
    must(error->status == status, "the error's status");
    must(status == EH_BAD_SYNTAX || status == EH_EMPTY || status == EH_TOO_LARGE ||
             status == EH_DAMAGED || status == EH_NO_ACCESS,
         "which status");
    must(strstr(error->text, "expected ") != NULL, "what was expected");
    must(strchr(error->text, '\n') == NULL, "one line");
    must(error->line >= 0, "a line");
}

static void check_remarks(const struct eh_musicxml_remarks *remarks) {
    for (size_t i = 0; i < remarks->count; i++) {
        must(remarks->rows[i].text[0] != '\0', "words of a remark");
        must(memchr(remarks->rows[i].measures, '\0', sizeof remarks->rows[i].measures) != NULL,
             "measures of a remark");
    }
}

static void check_text(const struct eh_exercise *exercise) {
    struct eh_text text = {0};
    struct eh_exercise *again = NULL;
    struct eh_error error;
    must(eh_exercise_print(exercise, &text) == EH_OK, "printing");
    if (eh_exercise_parse(&again, text.data, text.length, &error) != EH_OK) {
        (void)fprintf(stderr, "%d:%d: %s in\n%s\n", error.line, error.column, error.text,
                      text.data);
        abort();
    }
    must(eh_exercise_equal(exercise, again), "the same exercise");
    eh_exercise_free(again);
    eh_text_deinit(&text);
}

static void check_strokes(const struct eh_exercise *exercise, const struct eh_exercise *again) {
    size_t count = 0;
    size_t other = 0;
    const struct eh_stroke *a = eh_exercise_strokes(exercise, &count);
    const struct eh_stroke *b = eh_exercise_strokes(again, &other);
    must(count == other, "as many strokes");
    for (size_t i = 0; i < count; i++) {
        must(a[i].at == b[i].at && a[i].hand == b[i].hand && a[i].kind == b[i].kind &&
                 a[i].accent == b[i].accent && a[i].step_milli == b[i].step_milli,
             "the same strokes");
    }
}

static void check_written(const struct eh_exercise *exercise) {
    struct eh_text xml = {0};
    struct eh_exercise *again = NULL;
    must(eh_musicxml_write(exercise, &xml) == EH_OK, "writing");
    must(eh_musicxml_read(&again, xml.data, xml.length, NULL, NULL, NULL) == EH_OK,
         "reading what was written");
    check_strokes(exercise, again);
    eh_exercise_free(again);
    eh_text_deinit(&xml);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    struct eh_exercise *exercise = NULL;
    struct eh_musicxml_remarks remarks = {0};
    struct eh_error error;
    const enum eh_status status = eh_musicxml_read(&exercise, data, size, NULL, &remarks, &error);
    fuzz_accepted = status == EH_OK;
    check_remarks(&remarks);
    eh_musicxml_remarks_deinit(&remarks);
    if (status != EH_OK) {
        check_error(&error, status, exercise);
        return 0;
    }
    check_text(exercise);
    check_written(exercise);
    eh_exercise_free(exercise);
    return 0;
}
