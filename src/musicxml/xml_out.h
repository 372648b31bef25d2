/* Writing XML, element by element. A failure is remembered and reported at the end. */
#ifndef MUSICXML_XML_OUT_H
#define MUSICXML_XML_OUT_H

#include "evenhand/status.h"
#include "evenhand/text.h"

struct xml_out; /* opaque */

/* NULL: not enough memory. DOCTYPE: the root's name, the public and the system identifier. */
struct xml_out *xml_out_new(const char *root, const char *public_id, const char *system_id);

/* Appends the document to OUT and frees it. Errors: EH_TOO_LARGE (our own reader would refuse it),
 * EH_NO_MEMORY. */
EH_MUST_USE enum eh_status xml_out_finish(struct xml_out *xml, struct eh_text *out);

/* What should be written could not be made. */
void xml_out_fail(struct xml_out *xml);

void xml_open(struct xml_out *xml, const char *name);
void xml_close(struct xml_out *xml);

/* Of the element that was opened last, before anything is in it. */
void xml_attribute(struct xml_out *xml, const char *name, const char *value);
void xml_attribute_number(struct xml_out *xml, const char *name, long long value);

/* <NAME>TEXT</NAME>, or <NAME/> for NULL. */
void xml_leaf(struct xml_out *xml, const char *name, const char *text);
void xml_leaf_number(struct xml_out *xml, const char *name, long long number);

void xml_words(struct xml_out *xml, const char *text);

#endif
