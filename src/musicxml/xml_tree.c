#include "xml_tree.h"

#include <libxml/SAX2.h>
#include <libxml/parser.h>
#include <libxml/tree.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/musicxml.h"

struct xml_document {
    xmlDocPtr tree;
};

/* What the parser's callbacks remember. The parser hands them its context, whose _private is
 * ours. */
struct watching {
    long elements;
    bool entity;    /* one is declared */
    bool many;      /* elements */
    bool crowded;   /* an element's attributes */
    int line;       /* of the trouble */
    bool no_memory; /* while parsing */
    char complaint[200];
    int complaint_line, complaint_column;
};

static struct watching *watching_of(void *context) {
    return ((xmlParserCtxtPtr)context)->_private;
}

static void stop(void *context, bool *which) {
    *which = true;
    watching_of(context)->line = xmlSAX2GetLineNumber(context);
    xmlStopParser(context);
}

static void on_entity(void *context, const xmlChar *name, int type, const xmlChar *public_id,
                      const xmlChar *system_id, xmlChar *content) {
    (void)name;
    (void)type;
    (void)public_id;
    (void)system_id;
    (void)content;
    stop(context, &watching_of(context)->entity);
}

static void on_unparsed_entity(void *context, const xmlChar *name, const xmlChar *public_id,
                               const xmlChar *system_id, const xmlChar *notation) {
    (void)notation;
    on_entity(context, name, 0, public_id, system_id, NULL);
}

/* A document type's external subset, and whatever else lies outside, is never opened. */
static xmlParserInputPtr on_resolve(void *context, const xmlChar *public_id,
                                    const xmlChar *system_id) {
    (void)context;
    (void)public_id;
    (void)system_id;
    return NULL;
}

static void on_external_subset(void *context, const xmlChar *name, const xmlChar *public_id,
                               const xmlChar *system_id) {
    (void)context;
    (void)name;
    (void)public_id;
    (void)system_id;
}

static void on_element(void *context, const xmlChar *name, const xmlChar *prefix,
                       const xmlChar *uri, int namespace_count, const xmlChar **namespaces,
                       int attribute_count, int defaulted, const xmlChar **attributes) {
    struct watching *watching = watching_of(context);
    if (++watching->elements > EH_MUSICXML_ELEMENTS_MAX) {
        stop(context, &watching->many);
        return;
    }
    if (attribute_count > EH_MUSICXML_ATTRIBUTES_MAX) {
        stop(context, &watching->crowded);
        return;
    }
    xmlSAX2StartElementNs(context, name, prefix, uri, namespace_count, namespaces, attribute_count,
                          defaulted, attributes);
}

/* Keeps the first complaint; nothing is printed. */
static void on_complaint(void *context, xmlErrorPtr error) {
    struct watching *watching = watching_of(context);
    if (error == NULL || error->level < XML_ERR_ERROR) {
        return;
    }
    watching->no_memory = watching->no_memory || error->code == XML_ERR_NO_MEMORY;
    if (watching->complaint[0] == '\0' && error->message != NULL) {
        (void)snprintf(watching->complaint, sizeof watching->complaint, "%s", error->message);
        /* What a programmer would do about it. */
        char *advice = strstr(watching->complaint, " use XML_PARSE_HUGE option");
        if (advice != NULL) {
            *advice = '\0';
        }
        watching->complaint[strcspn(watching->complaint, "\n")] = '\0';
        watching->complaint_line = error->line;
        watching->complaint_column = error->int2;
    }
}

static enum eh_status fail_at_line(struct eh_error *error, enum eh_status status, int line,
                                   const char *text) {
    return eh_fail_at(error, status, line, 0, "%s", text);
}

static enum eh_status explain(const struct watching *watching, struct eh_error *error) {
    if (watching->entity) {
        return fail_at_line(error, EH_NO_ACCESS, watching->line,
                            "expected no entity declarations, found one: music needs none, and "
                            "they can hide what a file does; take them out");
    }
    if (watching->many) {
        return eh_fail_at(error, EH_TOO_LARGE, watching->line, 0,
                          "expected at most %d elements, found more: export only the part that you "
                          "practise",
                          EH_MUSICXML_ELEMENTS_MAX);
    }
    if (watching->crowded) {
        return eh_fail_at(error, EH_TOO_LARGE, watching->line, 0,
                          "expected at most %d attributes on an element, found more",
                          EH_MUSICXML_ATTRIBUTES_MAX);
    }
    if (watching->no_memory) {
        return eh_fail(error, EH_NO_MEMORY, "not enough memory for the document");
    }
    return eh_fail_at(error, EH_BAD_SYNTAX,
                      watching->complaint_line > 0 ? watching->complaint_line : 1,
                      watching->complaint_column > 0 ? watching->complaint_column : 1,
                      "expected an XML document, found a mistake in it: %s",
                      watching->complaint[0] != '\0' ? watching->complaint : "it ends too early");
}

static void watch(xmlParserCtxtPtr parser, struct watching *watching) {
    parser->_private = watching;
    parser->sax->entityDecl = on_entity;
    parser->sax->unparsedEntityDecl = on_unparsed_entity;
    parser->sax->resolveEntity = on_resolve;
    parser->sax->externalSubset = on_external_subset;
    parser->sax->startElementNs = on_element;
    parser->sax->serror = on_complaint;
}

/* An element's attributes are compared pair by pair before any callback could count them, so that
 * a crafted element could keep the parser busy for hours. Outside quotes every attribute has its =.
 * The bytes between the letters of UTF-16 are passed over. */
static bool is_crowded(const unsigned char *bytes, size_t length) {
    bool tag = false;
    unsigned char quote = 0;
    long attributes = 0;
    for (size_t i = 0; i < length; i++) {
        const unsigned char c = bytes[i];
        if (!tag) {
            tag = c == '<';
            attributes = 0;
            quote = 0;
        } else if (quote != 0) {
            quote = c == quote ? 0 : quote;
        } else if (c == '"' || c == '\'') {
            quote = attributes > 0 ? c : 0; /* a comment's apostrophe opens nothing */
        } else if (c == '>') {
            tag = false;
        } else if (c == '=' && ++attributes > 16L * EH_MUSICXML_ATTRIBUTES_MAX) {
            return true;
        }
    }
    return false;
}

static void on_nothing(void *context, xmlErrorPtr error) {
    (void)context;
    (void)error;
}

/* Mistakes of an encoding are told to nobody's parser, but to the thread's own handler, which would
 * print them. */
static xmlDocPtr read_quietly(xmlParserCtxtPtr parser, const void *bytes, size_t length) {
    const xmlStructuredErrorFunc before = xmlStructuredError;
    void *context_before = xmlStructuredErrorContext;
    xmlSetStructuredErrorFunc(NULL, on_nothing);
    xmlDocPtr tree = xmlCtxtReadMemory(parser, bytes, (int)length, NULL, NULL,
                                       XML_PARSE_NONET | XML_PARSE_NOCDATA | XML_PARSE_COMPACT |
                                           XML_PARSE_NOBLANKS | XML_PARSE_BIG_LINES |
                                           XML_PARSE_NOERROR | XML_PARSE_NOWARNING);
    xmlSetStructuredErrorFunc(context_before, before);
    return tree;
}

static enum eh_status parse(struct xml_document *document, const void *bytes, size_t length,
                            struct eh_error *error) {
    struct watching watching = {0};
    xmlParserCtxtPtr parser = xmlNewParserCtxt();
    if (parser == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "not enough memory for the document");
    }
    watch(parser, &watching);
    document->tree = read_quietly(parser, bytes, length);
    const bool good = document->tree != NULL && parser->wellFormed && !watching.entity &&
                      !watching.many && !watching.crowded;
    xmlFreeParserCtxt(parser);
    return good && xmlDocGetRootElement(document->tree) != NULL ? EH_OK : explain(&watching, error);
}

enum eh_status xml_read(struct xml_document **out, const void *bytes, size_t length,
                        struct eh_error *error) {
    *out = NULL;
    if (length > EH_MUSICXML_BYTES_MAX) {
        return eh_fail(error, EH_TOO_LARGE, "expected at most %d bytes of XML, found %zu",
                       EH_MUSICXML_BYTES_MAX, length);
    }
    if (is_crowded(bytes, length)) {
        return eh_fail(error, EH_TOO_LARGE,
                       "expected at most %d attributes on an element, found more",
                       EH_MUSICXML_ATTRIBUTES_MAX);
    }
    struct xml_document *document = calloc(1, sizeof *document);
    if (document == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "not enough memory for the document");
    }
    const enum eh_status status = parse(document, bytes, length, error);
    if (status != EH_OK) {
        xml_free(document);
        return status;
    }
    *out = document;
    return EH_OK;
}

void xml_free(struct xml_document *document) {
    if (document != NULL) {
        if (document->tree != NULL) {
            xmlFreeDoc(document->tree);
        }
        free(document);
    }
}

/* The tree -------------------------------------------------------------------------------- */

static const xmlNode *node_of(const struct xml_element *element) {
    return (const xmlNode *)element;
}

static const struct xml_element *element_from(const xmlNode *node) {
    while (node != NULL && node->type != XML_ELEMENT_NODE) {
        node = node->next;
    }
    return (const struct xml_element *)node;
}

const struct xml_element *xml_root(const struct xml_document *document) {
    return (const struct xml_element *)xmlDocGetRootElement(document->tree);
}

const char *xml_name(const struct xml_element *element) {
    return (const char *)node_of(element)->name;
}

bool xml_is(const struct xml_element *element, const char *name) {
    return strcmp(xml_name(element), name) == 0;
}

int xml_line(const struct xml_element *element) {
    const long line = xmlGetLineNo((const xmlNode *)element);
    return line < 1 ? 0 : line > INT_MAX ? INT_MAX : (int)line;
}

const struct xml_element *xml_first(const struct xml_element *parent) {
    return parent == NULL ? NULL : element_from(node_of(parent)->children);
}

const struct xml_element *xml_next(const struct xml_element *element) {
    return element_from(node_of(element)->next);
}

const struct xml_element *xml_child(const struct xml_element *parent, const char *name) {
    for (const struct xml_element *at = xml_first(parent); at != NULL; at = xml_next(at)) {
        if (xml_is(at, name)) {
            return at;
        }
    }
    return NULL;
}

const struct xml_element *xml_again(const struct xml_element *element) {
    for (const struct xml_element *at = xml_next(element); at != NULL; at = xml_next(at)) {
        if (xml_is(at, xml_name(element))) {
            return at;
        }
    }
    return NULL;
}

/* Texts ------------------------------------------------------------------------------------- */

static size_t add_texts(const xmlNode *first, char *out, size_t room) {
    size_t length = 0;
    for (const xmlNode *at = first; at != NULL; at = at->next) {
        if ((at->type != XML_TEXT_NODE && at->type != XML_CDATA_SECTION_NODE) ||
            at->content == NULL) {
            continue;
        }
        const size_t more = strlen((const char *)at->content);
        if (length < room) {
            memcpy(out + length, at->content, more < room - length ? more : room - length);
        }
        length += more;
    }
    return length;
}

static const char *trimmed(const xmlNode *first, char out[XML_TEXT]) {
    char whole[XML_TEXT];
    size_t length = add_texts(first, whole, XML_TEXT - 1);
    length = length < XML_TEXT - 1 ? length : XML_TEXT - 1;
    size_t from = 0;
    while (from < length && (unsigned char)whole[from] <= ' ') {
        from++;
    }
    while (length > from && (unsigned char)whole[length - 1] <= ' ') {
        length--;
    }
    memcpy(out, whole + from, length - from);
    out[length - from] = '\0';
    return out;
}

const char *xml_text(const struct xml_element *element, char out[XML_TEXT]) {
    return trimmed(element == NULL ? NULL : node_of(element)->children, out);
}

size_t xml_long_text(const struct xml_element *element, char *out, size_t room) {
    const xmlNode *first = element == NULL ? NULL : node_of(element)->children;
    const size_t length = add_texts(first, out, room);
    if (length < room) {
        out[length] = '\0';
    }
    return length;
}

const char *xml_value(const struct xml_element *element, const char *attribute,
                      char out[XML_TEXT]) {
    const xmlAttr *found = NULL;
    for (const xmlAttr *at = element == NULL ? NULL : node_of(element)->properties; at != NULL;
         at = at->next) {
        if (strcmp((const char *)at->name, attribute) == 0) {
            found = at;
            break;
        }
    }
    return trimmed(found == NULL ? NULL : found->children, out);
}

bool xml_has(const struct xml_element *element, const char *attribute, const char *value) {
    char text[XML_TEXT];
    return strcmp(xml_value(element, attribute, text), value) == 0;
}
