/* A growing piece of text (or bytes). A failed allocation is remembered and reported once, at the
 * end, so that a page can be written without a check after every word. */
#ifndef EVENHAND_TEXT_H
#define EVENHAND_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "evenhand/status.h"

struct eh_text {
    char *data; /* owned; NUL-terminated once anything was added; NULL while empty */
    size_t length;
    size_t capacity;
    bool failed; /* an allocation failed: data is incomplete */
};

/* Frees what the text owns and empties it; an all-zero text is accepted. */
void eh_text_deinit(struct eh_text *text);

void eh_text_add(struct eh_text *text, const char *string);
void eh_text_add_bytes(struct eh_text *text, const void *bytes, size_t length);
void eh_text_add_char(struct eh_text *text, char c);
void eh_text_printf(struct eh_text *text, const char *format, ...) EH_PRINTF(2, 3);

/* "" while empty. */
const char *eh_text_string(const struct eh_text *text);

/* EH_NO_MEMORY if any addition failed. */
EH_MUST_USE enum eh_status eh_text_status(const struct eh_text *text);

/* How many single-character edits (insert, remove, replace, swap of neighbours) lead from A to B,
 * letters compared without case; for suggesting a nearest name. Strings longer than 63 characters
 * are compared by their first 63. */
int eh_text_distance(const char *a, const char *b);

#endif
