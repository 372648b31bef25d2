/* Which part, and its measures. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/text.h"
#include "read.h"

static bool same_word(const char *a, const char *b) {
    while (*a != '\0' && tolower((unsigned char)*a) == tolower((unsigned char)*b)) {
        a++;
        b++;
    }
    return *a == '\0' && *b == '\0';
}

static bool is_timewise(const struct mx_reading *reading) {
    return xml_is(reading->root, "score-timewise");
}

/* The first element that holds the part's notes. */
static const struct xml_element *first_content(const struct mx_reading *reading, const char *id) {
    const struct xml_element *outer =
        xml_child(reading->root, is_timewise(reading) ? "measure" : "part");
    for (; outer != NULL; outer = xml_again(outer)) {
        if (!is_timewise(reading)) {
            if (xml_has(outer, "id", id)) {
                return xml_child(outer, "measure");
            }
            continue;
        }
        for (const struct xml_element *at = xml_child(outer, "part"); at != NULL;
             at = xml_again(at)) {
            if (xml_has(at, "id", id)) {
                return at;
            }
        }
    }
    return NULL;
}

static bool has_percussion_clef(const struct xml_element *content) {
    for (const struct xml_element *at = xml_first(content); at != NULL; at = xml_next(at)) {
        if (xml_is(at, "note") && xml_child(at, "unpitched") != NULL) {
            return true;
        }
        const struct xml_element *clef = xml_is(at, "attributes") ? xml_child(at, "clef") : NULL;
        for (; clef != NULL; clef = xml_again(clef)) {
            char sign[XML_TEXT];
            if (strcmp(xml_text(xml_child(clef, "sign"), sign), "percussion") == 0) {
                return true;
            }
        }
    }
    return false;
}

static void name_of(const struct xml_element *part, char out[XML_TEXT]) {
    xml_text(xml_child(part, "part-name"), out);
    if (out[0] == '\0') {
        xml_value(part, "id", out);
    }
}

static bool is_called(const struct xml_element *part, const char *wanted) {
    char text[XML_TEXT];
    return same_word(xml_value(part, "id", text), wanted) ||
           same_word(xml_text(xml_child(part, "part-name"), text), wanted) ||
           same_word(xml_text(xml_child(part, "part-abbreviation"), text), wanted);
}

static const struct xml_element *first_part(const struct mx_reading *reading) {
    return xml_child(xml_child(reading->root, "part-list"), "score-part");
}

static enum eh_status complain_unknown(struct mx_reading *reading, const char *wanted) {
    struct eh_text list = {0};
    for (const struct xml_element *at = first_part(reading); at != NULL; at = xml_again(at)) {
        char name[XML_TEXT];
        char id[XML_TEXT];
        name_of(at, name);
        eh_text_printf(&list, "%s\"%.60s\" (%.20s)", list.length > 0 ? ", " : "", name,
                       xml_value(at, "id", id));
    }
    const enum eh_status status = eh_fail(reading->error, EH_NOT_FOUND,
                                          "expected a part of the score, found no \"%.60s\"; "
                                          "there are %.300s",
                                          wanted, eh_text_string(&list));
    eh_text_deinit(&list);
    return status;
}

/* With several parts and none wanted. */
static const struct xml_element *first_drum(const struct mx_reading *reading) {
    for (const struct xml_element *at = first_part(reading); at != NULL; at = xml_again(at)) {
        char id[XML_TEXT];
        if (has_percussion_clef(first_content(reading, xml_value(at, "id", id)))) {
            return at;
        }
    }
    return first_part(reading);
}

static const struct xml_element *choose(struct mx_reading *reading, const char *wanted) {
    if (wanted == NULL) {
        const struct xml_element *part = first_drum(reading);
        if (part != NULL && xml_again(first_part(reading)) != NULL) {
            char name[XML_TEXT];
            name_of(part, name);
            mx_remark(
                reading, -1, 0,
                "the score has several parts: \"%.80s\" is read; choose another with its name",
                name);
        }
        return part;
    }
    for (const struct xml_element *at = first_part(reading); at != NULL; at = xml_again(at)) {
        if (is_called(at, wanted)) {
            return at;
        }
    }
    return NULL;
}

static enum eh_status add_bar(struct mx_reading *reading, const struct xml_element *content,
                              const struct xml_element *measure) {
    struct mx_rows *rows = &reading->rows;
    if (rows->bar_count == EH_EXERCISE_BARS_MAX) {
        return mx_fail(reading, EH_TOO_LARGE, -1, xml_line(measure),
                       "expected at most %d measures, found more", EH_EXERCISE_BARS_MAX);
    }
    if (!mx_grow(&rows->bars, &rows->bar_capacity, rows->bar_count, sizeof *rows->bars)) {
        return mx_no_memory(reading);
    }
    struct mx_bar *bar = &rows->bars[rows->bar_count++];
    *bar = (struct mx_bar){.content = content, .line = xml_line(measure)};
    bar->implicit = xml_has(measure, "implicit", "yes");
    char number[XML_TEXT];
    xml_value(measure, "number", number);
    if (number[0] == '\0') {
        (void)snprintf(number, sizeof number, "%zu", rows->bar_count);
    }
    (void)snprintf(bar->number, sizeof bar->number, "%.12s", number);
    return EH_OK;
}

/* Time-wise: a measure without the part holds nothing of it. */
static enum eh_status list_timewise(struct mx_reading *reading) {
    for (const struct xml_element *measure = xml_child(reading->root, "measure"); measure != NULL;
         measure = xml_again(measure)) {
        const struct xml_element *part = xml_child(measure, "part");
        while (part != NULL && !xml_has(part, "id", reading->part)) {
            part = xml_again(part);
        }
        const enum eh_status status = add_bar(reading, part, measure);
        if (status != EH_OK) {
            return status;
        }
    }
    return EH_OK;
}

static enum eh_status list_partwise(struct mx_reading *reading) {
    for (const struct xml_element *measure = first_content(reading, reading->part); measure != NULL;
         measure = xml_again(measure)) {
        const enum eh_status status = add_bar(reading, measure, measure);
        if (status != EH_OK) {
            return status;
        }
    }
    return EH_OK;
}

enum eh_status mx_find_part(struct mx_reading *reading, const char *wanted) {
    if (first_part(reading) == NULL) {
        return mx_fail(reading, EH_BAD_SYNTAX, -1, xml_line(reading->root),
                       "expected a list of parts (part-list with score-part), found none");
    }
    int parts = 0;
    for (const struct xml_element *at = first_part(reading); at != NULL; at = xml_again(at)) {
        if (++parts > EH_MUSICXML_PARTS_MAX) {
            return mx_fail(reading, EH_TOO_LARGE, -1, xml_line(at),
                           "expected at most %d parts, found more", EH_MUSICXML_PARTS_MAX);
        }
    }
    const struct xml_element *part = choose(reading, wanted);
    if (part == NULL) {
        return complain_unknown(reading, wanted);
    }
    char id[XML_TEXT];
    (void)snprintf(reading->part, sizeof reading->part, "%s", xml_value(part, "id", id));
    const enum eh_status status =
        is_timewise(reading) ? list_timewise(reading) : list_partwise(reading);
    if (status == EH_OK && reading->rows.bar_count == 0) {
        return mx_fail(reading, EH_EMPTY, -1, xml_line(part),
                       "expected measures in part %.60s, found none", reading->part);
    }
    return status;
}
