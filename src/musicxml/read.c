/* From bytes to an exercise. */
#include "read.h"

#include <stdlib.h>
#include <string.h>

#include "pack.h"

static bool is_archive(const unsigned char *bytes, size_t length) {
    return length >= 4 && memcmp(bytes, "PK", 2) == 0 && bytes[2] < 9 && bytes[3] < 9;
}

/* The first letter of XML is <, whatever the encoding; before it stand a byte order mark, the other
 * half of a 16-bit letter, or white space. */
bool eh_musicxml_recognise(const void *bytes, size_t length) {
    const unsigned char *at = bytes;
    if (is_archive(at, length)) {
        return true;
    }
    for (size_t i = 0; i < length && i < 64; i++) {
        if (at[i] == '<') {
            return true;
        }
        if (at[i] != 0 && at[i] < 0x80 && strchr(" \t\r\n", at[i]) == NULL) {
            return false;
        }
    }
    return false;
}

static void drop_rows(struct mx_rows *rows) {
    free(rows->bars);
    free(rows->notes);
    free(rows->marks);
    free(rows->words);
    free(rows->raw);
    free(rows->pieces);
    free(rows->letters);
    free(rows->hands);
}

static enum eh_status check_root(struct mx_reading *reading) {
    if (xml_is(reading->root, "score-partwise") || xml_is(reading->root, "score-timewise")) {
        return EH_OK;
    }
    return mx_fail(reading, EH_BAD_SYNTAX, -1, xml_line(reading->root),
                   "expected MusicXML (score-partwise or score-timewise), found <%.60s>",
                   xml_name(reading->root));
}

static enum eh_status read_score(struct mx_reading *reading, const char *part,
                                 struct eh_exercise **out) {
    enum eh_status status = check_root(reading);
    if (status == EH_OK) {
        status = mx_find_part(reading, part);
    }
    if (status == EH_OK) {
        status = mx_walk(reading);
    }
    if (status == EH_OK) {
        mx_choose_voice(reading);
        mx_spread_words(reading);
        status = mx_clean_signs(reading);
    }
    if (status == EH_OK) {
        status = mx_find_strokes(reading);
    }
    if (status == EH_OK) {
        status = mx_cut_pieces(reading);
    }
    if (status == EH_OK) {
        status = mx_clean_marks(reading);
    }
    return status == EH_OK ? mx_emit(reading, out) : status;
}

static enum eh_status read_document(struct mx_reading *reading, const void *bytes, size_t length,
                                    const char *part, struct eh_exercise **out) {
    struct xml_document *document = NULL;
    enum eh_status status = xml_read(&document, bytes, length, reading->error);
    if (status == EH_OK) {
        reading->root = xml_root(document);
        status = read_score(reading, part, out);
    }
    if (reading->memory_failed) {
        eh_exercise_free(*out);
        *out = NULL;
        status = mx_no_memory(reading);
    }
    drop_rows(&reading->rows);
    xml_free(document);
    return status;
}

enum eh_status eh_musicxml_read(struct eh_exercise **out, const void *bytes, size_t length,
                                const char *part, struct eh_musicxml_remarks *remarks,
                                struct eh_error *error) {
    *out = NULL;
    eh_error_clear(error);
    struct mx_reading *reading = calloc(1, sizeof *reading);
    if (reading == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "not enough memory for the document");
    }
    reading->error = error;
    reading->remarks = remarks;
    struct eh_text xml = {0};
    enum eh_status status = EH_OK;
    if (is_archive(bytes, length)) {
        status = unpack(&xml, bytes, length, error);
        if (status == EH_OK) {
            status = read_document(reading, eh_text_string(&xml), xml.length, part, out);
        }
    } else {
        status = read_document(reading, bytes, length, part, out);
    }
    eh_text_deinit(&xml);
    free(reading);
    return status;
}
