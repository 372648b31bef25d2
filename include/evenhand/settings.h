/* Styles as files: reading and printing the INI form of struct eh_style.
 *
 * The two shipped styles, concert and rudimental, are part of the library (their text is that of
 * exercises/styles), so a style is always at hand. A file of one's own names the shipped style it
 * is based on (`based_on`, rudimental when it says nothing) and writes only what differs.
 * docs/measures.md lists the keys. Any thread; nothing is kept between calls. */
#ifndef EVENHAND_SETTINGS_H
#define EVENHAND_SETTINGS_H

#include <stddef.h>

#include "evenhand/status.h"
#include "evenhand/style.h"
#include "evenhand/text.h"

/* Longest line of a style file, its end not counted. */
enum { EH_STYLE_LINE_MAX = 190 };

/* Reads LENGTH bytes of INI TEXT (UTF-8; need not end in NUL).
 * Errors, each with its line: EH_BAD_SYNTAX (neither section, key nor comment; not a number; given
 * twice; a line too long; NUL), EH_NOT_FOUND (unknown section, key or base; the nearest is named),
 * EH_OUT_OF_RANGE (a value outside what makes sense, or a lower limit above its upper one).
 * On failure OUT is left alone. */
EH_MUST_USE enum eh_status eh_style_parse(struct eh_style *out, const char *text, size_t length,
                                          struct eh_error *error);

/* Appends STYLE as a complete INI file, without comments; parsing it gives the same style as long
 * as its numbers have at most six decimals. */
void eh_style_print(const struct eh_style *style, struct eh_text *out);

/* The shipped styles' names, in a fixed order; NULL from the end on. */
const char *eh_style_shipped_name(size_t index);

/* A shipped style's INI text, with its reasons as comments; NULL for another name. */
const char *eh_style_shipped_text(const char *name);

/* A shipped style. Errors: EH_NOT_FOUND (the nearest name is given). */
EH_MUST_USE enum eh_status eh_style_shipped(struct eh_style *out, const char *name,
                                            struct eh_error *error);

#endif
