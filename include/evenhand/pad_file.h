/* Pads as files: reading and printing the INI form of struct eh_pad.
 *
 * What a file leaves out is as eh_pad_init_default has it, with one exception: a file that names
 * any note names all of them. docs/pads.md lists the keys. Any thread; nothing is kept between
 * calls. */
#ifndef EVENHAND_PAD_FILE_H
#define EVENHAND_PAD_FILE_H

#include <stddef.h>

#include "evenhand/pad.h"
#include "evenhand/status.h"
#include "evenhand/text.h"

/* Longest line of a pad file, its end not counted. */
enum { EH_PAD_LINE_MAX = 190 };

/* Reads LENGTH bytes of INI TEXT (UTF-8; need not end in NUL). An empty text is the default pad.
 * Errors, each with its line: EH_BAD_SYNTAX (neither section, key nor comment; not a number, note
 * or time; given twice, which only a zone's notes and points may be; a line too long; NUL),
 * EH_NOT_FOUND (unknown section or key; the nearest is named), EH_OUT_OF_RANGE (a value outside
 * what makes sense, two values in the wrong order, a note that stands in two zones). On failure OUT
 * is left alone. */
EH_MUST_USE enum eh_status eh_pad_parse(struct eh_pad *out, const char *text, size_t length,
                                        struct eh_error *error);

/* Appends PAD as a complete INI file, without comments. Parsing it gives the same pad as long as
 * its numbers have at most six decimals (times: of a millisecond, so that every nanosecond is
 * kept), and printing that gives the same text. Characters that a name in such a file cannot hold
 * are printed as blanks. */
void eh_pad_print(const struct eh_pad *pad, struct eh_text *out);

/* Rounds PAD to what its file holds, so that what is judged now and what is judged from the stored
 * text are the same. Who has made a pad otherwise than by parsing calls this before judging.
 * Errors: as eh_pad_parse (the pad could not have come from a file), EH_NO_MEMORY; PAD is left
 * alone. */
EH_MUST_USE enum eh_status eh_pad_settle(struct eh_pad *pad, struct eh_error *error);

/* How a zone is called in a pad file ("head"); "" for EH_ZONE_NONE and beyond the last. */
const char *eh_zone_key(enum eh_zone zone);

/* The same for a control ("again"). */
const char *eh_control_key(enum eh_control control);

#endif
