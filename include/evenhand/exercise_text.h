/* Exercises as text: our own format, which a drummer can read aloud. Its grammar stands in
 * docs/exercise-format.md.
 *
 * Pure: the caller reads and writes files. Any thread; nothing is shared. */
#ifndef EVENHAND_EXERCISE_TEXT_H
#define EVENHAND_EXERCISE_TEXT_H

#include <stddef.h>

#include "evenhand/exercise.h"
#include "evenhand/status.h"
#include "evenhand/text.h"

/* Limits; what lies beyond one is refused with EH_TOO_LARGE and the place. A page of an etude has
 * about 64 bars: these leave room for whole books and still bound memory (about 60 bytes a
 * stroke). */
enum {
    EH_EXERCISE_BYTES_MAX = 8 * 1024 * 1024,
    EH_EXERCISE_BARS_MAX = 10000,        /* written */
    EH_EXERCISE_PLAYED_BARS_MAX = 20000, /* repeats unfolded */
    EH_EXERCISE_STROKES_MAX = 1000000,   /* repeats unfolded, grace notes too */
    EH_EXERCISE_GRACES_MAX = 7,          /* before one main note */
    EH_EXERCISE_TITLE_MAX = 200,         /* bytes */
    EH_EXERCISE_STYLE_MAX = 31,          /* bytes; the name of a style file */
    EH_EXERCISE_ABOUT_MAX = 4000         /* bytes */
};

/* Reads LENGTH bytes of TEXT (no NUL needed at its end; TEXT may be NULL if LENGTH is 0). On
 * success *OUT is a new exercise, to be freed with eh_exercise_free; else *OUT is NULL and ERROR
 * (NULL is accepted) says what was expected and what was found, with line and column, both from 1;
 * columns count characters, a tab as one.
 *
 * UTF-8, with or without a byte order mark; lines end in LF, CR LF or CR; the last line need not
 * end. Errors: EH_BAD_SYNTAX (also for NUL and other control characters, and for bytes that are
 * not UTF-8), EH_EMPTY (not one stroke in it), EH_TOO_LARGE, EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_exercise_parse(struct eh_exercise **out, const char *text,
                                             size_t length, struct eh_error *error);

/* Appends the exercise as text, in one canonical way: parsing it gives an equal exercise, and
 * printing that gives the same bytes. Comments of the text it came from are not kept. Errors:
 * EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_exercise_print(const struct eh_exercise *exercise,
                                             struct eh_text *out);

#endif
