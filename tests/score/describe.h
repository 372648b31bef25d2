/* Strokes as one line of text, so that a test can hold them against a line that a person typed. */
#ifndef TESTS_SCORE_DESCRIBE_H
#define TESTS_SCORE_DESCRIBE_H

#include "evenhand/exercise_text.h"

/* What to show of each stroke; bits. */
enum {
    SHOW_PLACE = 1,   /* "2@3/4": written bar, quarter notes from its bar line */
    SHOW_HAND = 2,    /* R, L; r, l for grace notes */
    SHOW_KIND = 4,    /* 1, 2: first, second of a double; z: buzz; nothing else */
    SHOW_ACCENT = 8,  /* > or ^ */
    SHOW_ROLL = 16,   /* / in an open roll */
    SHOW_LENGTH = 32, /* "=1/2" in quarter notes */
    SHOW_LEVEL = 64,  /* " 4000" in thousandths of a step */
    SHOW_AT = 128,    /* "3/2": quarter notes from the beginning, repeats unfolded */
    SHOW_USUAL = SHOW_PLACE | SHOW_HAND | SHOW_KIND | SHOW_ACCENT | SHOW_ROLL
};

/* The strokes, one space between. */
void describe_strokes(const struct eh_exercise *exercise, unsigned show, struct eh_text *out);

/* Parses a NUL-terminated text; ends the test with the message when it is wrong. */
struct eh_exercise *parse_or_fail(const char *text);

/* Ends the test unless TEXT reads as the strokes EXPECTED; NAME is for the message. */
void expect_strokes(const char *name, const char *text, unsigned show, const char *expected);

/* Ends the test unless printing and parsing give an equal exercise and the same bytes again. */
void expect_round_trip(const char *name, const struct eh_exercise *exercise);

/* Ends the test unless TEXT of LENGTH bytes is refused with this status and place; MESSAGE NULL:
 * any. */
void expect_error(const char *name, const char *text, size_t length, enum eh_status status,
                  int line, int column, const char *message);

/* Reads a file of the source tree; *OUT is NUL-terminated as well. Ends the test when it cannot. */
void read_source_file(const char *path, struct eh_text *out);

#endif
