/* The compressed form: a ZIP archive with a table of contents. */
#ifndef MUSICXML_PACK_H
#define MUSICXML_PACK_H

#include <stddef.h>

#include "evenhand/status.h"
#include "evenhand/text.h"

/* Appends an archive that holds XML. The same XML gives the same bytes. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status pack(const struct eh_text *xml, struct eh_text *out);

/* Finds the score in an archive and appends its XML to OUT. The limits of musicxml.h hold. Errors:
 * EH_DAMAGED, EH_NO_ACCESS (encrypted), EH_TOO_LARGE, EH_NO_MEMORY. */
EH_MUST_USE enum eh_status unpack(struct eh_text *out, const void *bytes, size_t length,
                                  struct eh_error *error);

#endif
