/* exercise = head music ; */
#include "parse.h"
#include "evenhand/exercise_text.h"

static enum eh_status parse_all(struct parser *parser, struct eh_exercise **out) {
    enum eh_status status = parse_head(parser);
    if (status == EH_OK) {
        status = parse_music(parser);
    }
    return status == EH_OK ? score_builder_finish(&parser->builder, out, parser->scan.behind)
                           : status;
}

enum eh_status eh_exercise_parse(struct eh_exercise **out, const char *text, size_t length,
                                 struct eh_error *error) {
    *out = NULL;
    eh_error_clear(error);
    if (length > EH_EXERCISE_BYTES_MAX) {
        return eh_fail(error, EH_TOO_LARGE, "expected at most %d bytes, found %zu",
                       EH_EXERCISE_BYTES_MAX, length);
    }
    struct parser parser = {.error = error};
    enum eh_status status = scan_init(&parser.scan, text, length, error);
    if (status == EH_OK) {
        status = score_builder_init(&parser.builder, error);
    }
    if (status == EH_OK) {
        status = parse_all(&parser, out);
    }
    score_builder_drop(&parser.builder);
    return status;
}
