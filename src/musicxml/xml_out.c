#include "xml_out.h"

#include <libxml/xmlwriter.h>
#include <stdio.h>
#include <stdlib.h>

#include "evenhand/musicxml.h"

struct xml_out {
    xmlBufferPtr buffer;
    xmlTextWriterPtr writer;
    bool failed;
    long elements;
};

static const xmlChar *chars(const char *text) {
    return (const xmlChar *)text;
}

static void check(struct xml_out *xml, int result) {
    xml->failed = xml->failed || result < 0;
}

static void xml_out_free(struct xml_out *xml) {
    if (xml->writer != NULL) {
        xmlFreeTextWriter(xml->writer);
    }
    if (xml->buffer != NULL) {
        xmlBufferFree(xml->buffer);
    }
    free(xml);
}

static void begin(struct xml_out *xml, const char *root, const char *public_id,
                  const char *system_id) {
    check(xml, xmlTextWriterSetIndent(xml->writer, 1));
    check(xml, xmlTextWriterSetIndentString(xml->writer, chars("  ")));
    check(xml, xmlTextWriterStartDocument(xml->writer, "1.0", "UTF-8", "no"));
    if (public_id != NULL) {
        check(xml, xmlTextWriterWriteDTD(xml->writer, chars(root), chars(public_id),
                                         chars(system_id), NULL));
    }
}

struct xml_out *xml_out_new(const char *root, const char *public_id, const char *system_id) {
    struct xml_out *xml = calloc(1, sizeof *xml);
    if (xml == NULL) {
        return NULL;
    }
    xml->buffer = xmlBufferCreate();
    xml->writer = xml->buffer == NULL ? NULL : xmlNewTextWriterMemory(xml->buffer, 0);
    if (xml->writer == NULL) {
        xml_out_free(xml);
        return NULL;
    }
    begin(xml, root, public_id, system_id);
    return xml;
}

enum eh_status xml_out_finish(struct xml_out *xml, struct eh_text *out) {
    check(xml, xmlTextWriterEndDocument(xml->writer));
    check(xml, xmlTextWriterFlush(xml->writer));
    enum eh_status status = xml->failed ? EH_NO_MEMORY : EH_OK;
    if (xml->elements > EH_MUSICXML_ELEMENTS_MAX ||
        xmlBufferLength(xml->buffer) > EH_MUSICXML_BYTES_MAX) {
        status = EH_TOO_LARGE;
    }
    if (status == EH_OK) {
        eh_text_add_bytes(out, xmlBufferContent(xml->buffer), (size_t)xmlBufferLength(xml->buffer));
        status = eh_text_status(out);
    }
    xml_out_free(xml);
    return status;
}

void xml_out_fail(struct xml_out *xml) {
    xml->failed = true;
}

void xml_open(struct xml_out *xml, const char *name) {
    xml->elements++;
    check(xml, xmlTextWriterStartElement(xml->writer, chars(name)));
}

void xml_close(struct xml_out *xml) {
    check(xml, xmlTextWriterEndElement(xml->writer));
}

void xml_attribute(struct xml_out *xml, const char *name, const char *value) {
    check(xml, xmlTextWriterWriteAttribute(xml->writer, chars(name), chars(value)));
}

static void number_text(char out[24], long long number) {
    (void)snprintf(out, 24, "%lld", number);
}

void xml_attribute_number(struct xml_out *xml, const char *name, long long value) {
    char text[24];
    number_text(text, value);
    xml_attribute(xml, name, text);
}

void xml_leaf(struct xml_out *xml, const char *name, const char *text) {
    xml_open(xml, name);
    if (text != NULL) {
        xml_words(xml, text);
    }
    xml_close(xml);
}

void xml_leaf_number(struct xml_out *xml, const char *name, long long number) {
    char text[24];
    number_text(text, number);
    xml_leaf(xml, name, text);
}

void xml_words(struct xml_out *xml, const char *text) {
    check(xml, xmlTextWriterWriteString(xml->writer, chars(text)));
}
