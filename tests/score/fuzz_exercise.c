/* One input for a fuzzer: whatever the bytes, reading ends in an exercise or in an error with a
 * place; what was read prints, reads again as the same and prints the same bytes. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "fuzz_exercise.h"

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
    must(status == EH_BAD_SYNTAX || status == EH_EMPTY || status == EH_TOO_LARGE, "which status");
    must(error->line >= 1 && error->column >= 1, "a place in the text");
    must(strstr(error->text, "expected ") == error->text, "what was expected");
    must(strchr(error->text, '\n') == NULL, "one line");
}

static void check_round_trip(const struct eh_exercise *exercise) {
    struct eh_text once = {0};
    struct eh_text twice = {0};
    struct eh_exercise *again = NULL;
    must(eh_exercise_print(exercise, &once) == EH_OK, "printing");
    must(eh_exercise_parse(&again, once.data, once.length, NULL) == EH_OK,
         "reading what was printed");
    must(eh_exercise_equal(exercise, again), "the same exercise");
    must(eh_exercise_print(again, &twice) == EH_OK, "printing again");
    must(once.length == twice.length && memcmp(once.data, twice.data, once.length) == 0,
         "the same bytes");
    eh_exercise_free(again);
    eh_text_deinit(&once);
    eh_text_deinit(&twice);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    struct eh_exercise *exercise = NULL;
    struct eh_error error;
    const enum eh_status status = eh_exercise_parse(&exercise, (const char *)data, size, &error);
    if (status != EH_OK) {
        check_error(&error, status, exercise);
        return 0;
    }
    check_round_trip(exercise);
    eh_exercise_free(exercise);
    return 0;
}
