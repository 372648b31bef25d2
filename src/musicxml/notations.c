/* What stands at a note: ties, tuplets, ornaments, articulations, dynamics. */
#include <string.h>

#include "read.h"

enum { MARKS_MAX = 8 };

static bool is_one_of(const struct xml_element *element, const char *const *names, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (xml_is(element, names[i])) {
            return true;
        }
    }
    return false;
}

static void not_read(struct mx_cursor *cursor, const struct xml_element *element) {
    mx_remark(cursor->reading, cursor->bar, xml_line(element), "%.40s is not read",
              xml_name(element));
}

static void read_tie(const struct xml_element *tie, struct mx_note *out) {
    out->tie_in = out->tie_in || xml_has(tie, "type", "stop") || xml_has(tie, "type", "continue");
    out->tie_out =
        out->tie_out || xml_has(tie, "type", "start") || xml_has(tie, "type", "continue");
}

/* Tuplets ------------------------------------------------------------------------------------ */

static uint8_t tuplet_number(const struct xml_element *tuplet, const char *part) {
    char text[XML_TEXT];
    int number = 0;
    const struct xml_element *found = xml_child(xml_child(tuplet, part), "tuplet-number");
    return mx_read_whole(xml_text(found, text), 1, EH_WRITTEN_NORMAL_MAX, &number) ? (uint8_t)number
                                                                                   : 0;
}

static enum eh_status read_tuplet(struct mx_cursor *cursor, const struct xml_element *tuplet,
                                  struct mx_note *out) {
    if (xml_has(tuplet, "type", "stop")) {
        out->stops = (uint8_t)(out->stops + (out->stops < EH_WRITTEN_DEPTH_MAX));
        return EH_OK;
    }
    if (out->starts == EH_WRITTEN_DEPTH_MAX) {
        return mx_fail(cursor->reading, EH_TOO_LARGE, cursor->bar, xml_line(tuplet),
                       "expected tuplets at most %d deep, found a deeper one",
                       EH_WRITTEN_DEPTH_MAX);
    }
    out->start_actual[out->starts] = tuplet_number(tuplet, "tuplet-actual");
    out->start_normal[out->starts] = tuplet_number(tuplet, "tuplet-normal");
    out->starts++;
    return EH_OK;
}

/* Ornaments ---------------------------------------------------------------------------------- */

static void set_tremolo(struct mx_cursor *cursor, const struct xml_element *tremolo,
                        struct mx_note *out) {
    static const char *const types[] = {"", "single", "unmeasured", "start", "stop"};
    static const uint8_t kinds[] = {MX_SINGLE, MX_SINGLE, MX_BUZZ, MX_START, MX_STOP};
    char text[XML_TEXT];
    char type[XML_TEXT];
    xml_value(tremolo, "type", type);
    int marks = 3;
    xml_text(tremolo, text);
    const bool is_z = strcmp(text, "z") == 0 || strcmp(text, "Z") == 0;
    if (text[0] != '\0' && !is_z && !mx_read_whole(text, 0, MARKS_MAX, &marks)) {
        mx_remark(cursor->reading, cursor->bar, xml_line(tremolo),
                  "a tremolo of \"%.20s\" marks is not read: expected 0 to %d", text, MARKS_MAX);
        return;
    }
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        if (strcmp(type, types[i]) == 0) {
            out->tremolo = is_z || out->tremolo == MX_BUZZ ? MX_BUZZ : kinds[i];
            out->marks = (uint8_t)marks;
        }
    }
}

static void set_buzz(struct mx_note *out) {
    out->tremolo = MX_BUZZ;
}

/* "z" as a text somewhere at the note, or the sign's name in SMuFL. */
static bool says_buzz(const struct xml_element *element) {
    char text[XML_TEXT];
    xml_text(element, text);
    return strcmp(text, "z") == 0 || strcmp(text, "Z") == 0 || strcmp(text, "buzz") == 0 ||
           xml_has(element, "smufl", "buzzRoll");
}

static void read_ornaments(struct mx_cursor *cursor, const struct xml_element *ornaments,
                           struct mx_note *out) {
    for (const struct xml_element *at = xml_first(ornaments); at != NULL; at = xml_next(at)) {
        if (xml_is(at, "tremolo")) {
            set_tremolo(cursor, at, out);
        } else if (xml_is(at, "other-ornament") && says_buzz(at)) {
            set_buzz(out);
        } else {
            not_read(cursor, at);
        }
    }
}

/* Fingering and other-technical may hold sticking: sticking.c takes that. */
static void read_technical(struct mx_cursor *cursor, const struct xml_element *technical,
                           struct mx_note *out) {
    for (const struct xml_element *at = xml_first(technical); at != NULL; at = xml_next(at)) {
        char text[XML_TEXT];
        size_t letters = 0;
        uint16_t count = 0;
        const bool text_of_ours = xml_is(at, "fingering") || xml_is(at, "other-technical");
        if (text_of_ours && says_buzz(at)) {
            set_buzz(out);
        } else if (!text_of_ours || !mx_read_letters(NULL, xml_text(at, text), &letters, &count)) {
            not_read(cursor, at);
        }
    }
}

static void read_articulations(struct mx_cursor *cursor, const struct xml_element *articulations,
                               struct mx_note *out) {
    for (const struct xml_element *at = xml_first(articulations); at != NULL; at = xml_next(at)) {
        if (xml_is(at, "accent")) {
            out->accent = out->accent > 1 ? out->accent : 1;
        } else if (xml_is(at, "strong-accent")) {
            out->accent = 2;
        } else {
            not_read(cursor, at);
        }
    }
}

/* The whole ---------------------------------------------------------------------------------- */

static enum eh_status read_notation(struct mx_cursor *cursor, const struct xml_element *at,
                                    struct mx_note *out) {
    static const char *const drawn[] = {"slur", "tied", "footnote", "level", "accidental-mark"};
    if (xml_is(at, "tuplet")) {
        return read_tuplet(cursor, at, out);
    }
    if (xml_is(at, "dynamics")) {
        return mx_read_dynamics(cursor, at, cursor->at, false, &out->accent);
    }
    if (xml_is(at, "ornaments")) {
        read_ornaments(cursor, at, out);
    } else if (xml_is(at, "technical")) {
        read_technical(cursor, at, out);
    } else if (xml_is(at, "articulations")) {
        read_articulations(cursor, at, out);
    } else if (xml_is(at, "other-notation") && says_buzz(at)) {
        set_buzz(out);
    } else if (!is_one_of(at, drawn, sizeof drawn / sizeof drawn[0])) {
        not_read(cursor, at);
    }
    if (xml_is(at, "tied")) {
        read_tie(at, out);
    }
    return EH_OK;
}

static bool lyric_says_buzz(const struct xml_element *note) {
    for (const struct xml_element *at = xml_child(note, "lyric"); at != NULL; at = xml_again(at)) {
        if (says_buzz(xml_child(at, "text"))) {
            return true;
        }
    }
    return false;
}

enum eh_status mx_read_notations(struct mx_cursor *cursor, const struct xml_element *note,
                                 struct mx_note *out) {
    enum eh_status status = EH_OK;
    for (const struct xml_element *tie = xml_child(note, "tie"); tie != NULL;
         tie = xml_again(tie)) {
        read_tie(tie, out);
    }
    for (const struct xml_element *notations = xml_child(note, "notations");
         status == EH_OK && notations != NULL; notations = xml_again(notations)) {
        for (const struct xml_element *at = xml_first(notations); status == EH_OK && at != NULL;
             at = xml_next(at)) {
            status = read_notation(cursor, at, out);
        }
    }
    if (lyric_says_buzz(note)) {
        set_buzz(out);
    }
    return status;
}
