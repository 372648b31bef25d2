/* An XML document as a tree of elements, read safely: no entities, nothing from outside. */
#ifndef MUSICXML_XML_TREE_H
#define MUSICXML_XML_TREE_H

#include <stdbool.h>
#include <stddef.h>

#include "evenhand/status.h"

struct xml_document; /* opaque */
struct xml_element;  /* opaque; lives as long as its document */

/* Errors: EH_BAD_SYNTAX (line and column are set), EH_NO_ACCESS (entities are declared),
 * EH_TOO_LARGE (the limits of musicxml.h), EH_NO_MEMORY. */
EH_MUST_USE enum eh_status xml_read(struct xml_document **out, const void *bytes, size_t length,
                                    struct eh_error *error);

/* NULL is accepted. */
void xml_free(struct xml_document *document);

const struct xml_element *xml_root(const struct xml_document *document);
const char *xml_name(const struct xml_element *element);
bool xml_is(const struct xml_element *element, const char *name);
int xml_line(const struct xml_element *element);

/* Elements only; NULL when there is none (more). PARENT may be NULL. */
const struct xml_element *xml_first(const struct xml_element *parent);
const struct xml_element *xml_next(const struct xml_element *element);

/* The first child of that name. PARENT may be NULL. */
const struct xml_element *xml_child(const struct xml_element *parent, const char *name);

/* The next sibling of the same name. */
const struct xml_element *xml_again(const struct xml_element *element);

enum { XML_TEXT = 256 };

/* The text directly in the element, white space at both ends taken off, cut to what fits; "" for
 * none or for NULL. */
const char *xml_text(const struct xml_element *element, char out[XML_TEXT]);

/* The same, uncut, white space kept; its length. Nothing is copied where ROOM is too small for it
 * and its NUL. */
size_t xml_long_text(const struct xml_element *element, char *out, size_t room);

/* The same as xml_text for an attribute. */
const char *xml_value(const struct xml_element *element, const char *attribute, char out[XML_TEXT]);
bool xml_has(const struct xml_element *element, const char *attribute, const char *value);

#endif
