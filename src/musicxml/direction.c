/* What stands above and below the staff: dynamics, hairpins, tempo, sticking in words. */
#include "read.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum { FIXED = 1024 };

static enum eh_status add_mark(struct mx_cursor *cursor, const struct mx_mark *mark) {
    struct mx_rows *rows = &cursor->reading->rows;
    if (!mx_grow(&rows->marks, &rows->mark_capacity, rows->mark_count, sizeof *rows->marks)) {
        return mx_no_memory(cursor->reading);
    }
    rows->marks[rows->mark_count++] = *mark;
    return EH_OK;
}

/* Dynamics ---------------------------------------------------------------------------------- */

static int dynamic_of(const char *name) {
    for (int i = 0; i < EH_DYNAMIC_COUNT; i++) {
        if (strcmp(name, eh_dynamic_text((enum eh_dynamic)i)) == 0) {
            return i;
        }
    }
    const size_t length = strlen(name);
    if (length > 3 && strspn(name, "p") == length) {
        return EH_DYNAMIC_PPP;
    }
    return length > 3 && strspn(name, "f") == length ? EH_DYNAMIC_FFF : -1;
}

/* Signs for one stroke, and what holds after it (-1: what held before). */
static bool is_attack(const char *name, int *out_after) {
    static const struct {
        const char *name;
        int after;
    } signs[] = {{"sf", -1},
                 {"sfz", -1},
                 {"sffz", -1},
                 {"fz", -1},
                 {"rf", -1},
                 {"rfz", -1},
                 {"fp", EH_DYNAMIC_P},
                 {"sfp", EH_DYNAMIC_P},
                 {"sfpp", EH_DYNAMIC_PP},
                 {"sfzp", EH_DYNAMIC_P},
                 {"pf", EH_DYNAMIC_F}};
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
        if (strcmp(name, signs[i].name) == 0) {
            *out_after = signs[i].after;
            return true;
        }
    }
    return false;
}

static enum eh_status add_dynamic(struct mx_cursor *cursor, const struct xml_element *element,
                                  eh_ticks at, int dynamic, bool suddenly) {
    return add_mark(cursor, &(struct mx_mark){.at = at,
                                              .bar = cursor->bar,
                                              .line = xml_line(element),
                                              .kind = MX_DYNAMIC,
                                              .dynamic = (uint8_t)dynamic,
                                              .suddenly = suddenly});
}

static enum eh_status add_words(struct mx_cursor *cursor, const struct mx_words *words) {
    struct mx_rows *rows = &cursor->reading->rows;
    if (!mx_grow(&rows->words, &rows->words_capacity, rows->words_count, sizeof *rows->words)) {
        return mx_no_memory(cursor->reading);
    }
    rows->words[rows->words_count++] = *words;
    return EH_OK;
}

/* An accent, for the note itself or for the one that stands there. */
static enum eh_status read_attack(struct mx_cursor *cursor, const struct xml_element *element,
                                  const char *name, int after, eh_ticks at, uint8_t *accent) {
    enum eh_status status = EH_OK;
    if (accent != NULL) {
        *accent = *accent > 0 ? *accent : 1;
    } else {
        status = add_words(cursor, &(struct mx_words){.at = at, .bar = cursor->bar});
    }
    mx_remark(cursor->reading, cursor->bar, xml_line(element), "%.20s is read as an accent%s%s",
              name, after >= 0 ? ", then " : "",
              after >= 0 ? eh_dynamic_text((enum eh_dynamic)after) : "");
    return status == EH_OK && after >= 0 ? add_dynamic(cursor, element, at, after, true) : status;
}

/* <other-dynamics> names one in its text. */
static enum eh_status read_dynamic(struct mx_cursor *cursor, const struct xml_element *element,
                                   eh_ticks at, bool suddenly, uint8_t *accent) {
    char text[XML_TEXT];
    const char *name =
        xml_is(element, "other-dynamics") ? xml_text(element, text) : xml_name(element);
    int after = -1;
    const int dynamic = dynamic_of(name);
    if (dynamic >= 0) {
        if (strcmp(name, eh_dynamic_text((enum eh_dynamic)dynamic)) != 0) {
            mx_remark(cursor->reading, cursor->bar, xml_line(element), "%.20s is read as %s", name,
                      eh_dynamic_text((enum eh_dynamic)dynamic));
        }
        return add_dynamic(cursor, element, at, dynamic, suddenly);
    }
    if (is_attack(name, &after)) {
        return read_attack(cursor, element, name, after, at, accent);
    }
    mx_remark(cursor->reading, cursor->bar, xml_line(element), "the dynamic \"%.40s\" is not read",
              name);
    return EH_OK;
}

enum eh_status mx_read_dynamics(struct mx_cursor *cursor, const struct xml_element *dynamics,
                                eh_ticks at, bool suddenly, uint8_t *accent) {
    enum eh_status status = EH_OK;
    for (const struct xml_element *element = xml_first(dynamics);
         status == EH_OK && element != NULL; element = xml_next(element)) {
        status = read_dynamic(cursor, element, at, suddenly, accent);
    }
    return status;
}

/* Hairpins ----------------------------------------------------------------------------------- */

static enum eh_status read_wedge(struct mx_cursor *cursor, const struct xml_element *wedge,
                                 eh_ticks at) {
    struct mx_mark mark = {.at = at, .bar = cursor->bar, .line = xml_line(wedge)};
    if (xml_has(wedge, "niente", "yes")) {
        mx_remark(cursor->reading, cursor->bar, mark.line,
                  "a hairpin from or to nothing (niente) is read as an ordinary one");
    }
    if (xml_has(wedge, "type", "stop")) {
        mark.kind = MX_WEDGE_STOP;
    } else if (xml_has(wedge, "type", "crescendo") || xml_has(wedge, "type", "diminuendo")) {
        mark.kind = MX_WEDGE_START;
        mark.way = xml_has(wedge, "type", "crescendo") ? 1 : -1;
    } else {
        return EH_OK; /* continue: the same hairpin in the next line */
    }
    return add_mark(cursor, &mark);
}

/* Words -------------------------------------------------------------------------------------- */

static bool begins(const char *text, const char *word) {
    for (; *word != '\0'; text++, word++) {
        if (tolower((unsigned char)*text) != *word) {
            return false;
        }
    }
    return true;
}

static bool is_suddenly(const char *text) {
    return begins(text, "sub.") || begins(text, "subito") || strcmp(text, "sub") == 0;
}

static enum eh_status read_words(struct mx_cursor *cursor, const struct xml_element *element,
                                 eh_ticks at) {
    char text[XML_TEXT];
    struct mx_words words = {.at = at, .bar = cursor->bar};
    xml_text(element, text);
    if (text[0] == '\0' || is_suddenly(text)) {
        return EH_OK;
    }
    if (mx_read_letters(cursor->reading, text, &words.letters, &words.letter_count)) {
        return words.letter_count == 0 ? mx_no_memory(cursor->reading) : add_words(cursor, &words);
    }
    const bool louder = begins(text, "cresc");
    if (louder || begins(text, "decresc") || begins(text, "dim.") || begins(text, "dimin")) {
        return add_mark(cursor, &(struct mx_mark){.at = at,
                                                  .bar = cursor->bar,
                                                  .line = xml_line(element),
                                                  .kind = MX_WORD_START,
                                                  .way = louder ? 1 : -1});
    }
    if (strcmp(text, "z") != 0) {
        mx_remark(cursor->reading, cursor->bar, xml_line(element),
                  "the words \"%.80s\" are not "
                  "read",
                  text);
    }
    return EH_OK;
}

/* The whole ---------------------------------------------------------------------------------- */

static bool says_suddenly(const struct xml_element *direction) {
    for (const struct xml_element *type = xml_child(direction, "direction-type"); type != NULL;
         type = xml_again(type)) {
        for (const struct xml_element *words = xml_child(type, "words"); words != NULL;
             words = xml_again(words)) {
            char text[XML_TEXT];
            if (is_suddenly(xml_text(words, text))) {
                return true;
            }
        }
    }
    return false;
}

static enum eh_status read_type(struct mx_cursor *cursor, const struct xml_element *element,
                                eh_ticks at, bool suddenly) {
    if (xml_is(element, "dynamics")) {
        return mx_read_dynamics(cursor, element, at, suddenly, NULL);
    }
    if (xml_is(element, "wedge")) {
        return read_wedge(cursor, element, at);
    }
    if (xml_is(element, "words")) {
        return read_words(cursor, element, at);
    }
    if (xml_is(element, "metronome")) {
        mx_read_tempo_mark(cursor, element);
    } else if (!xml_is(element, "rehearsal") && !xml_is(element, "dashes") &&
               !xml_is(element, "bracket")) {
        mx_remark(cursor->reading, cursor->bar, xml_line(element), "%.40s is not read",
                  xml_name(element));
    }
    return EH_OK;
}

/* Where a direction stands: at the position, moved by its offset. */
static eh_ticks place_of(struct mx_cursor *cursor, const struct xml_element *direction) {
    const struct xml_element *offset = xml_child(direction, "offset");
    char text[XML_TEXT];
    int64_t millionths = 0;
    xml_text(offset, text);
    const bool back = text[0] == '-';
    if (offset == NULL || !mx_read_millionths(text + back, &millionths) ||
        millionths > 256 * cursor->divisions) {
        return cursor->at;
    }
    const double quarters = (double)millionths / (double)cursor->divisions;
    const eh_ticks moved = (eh_ticks)(quarters * (double)EH_TICKS_PER_QUARTER + 0.5);
    const eh_ticks at = back ? cursor->at - moved : cursor->at + moved;
    return at < 0 ? 0 : at;
}

enum eh_status mx_read_direction(struct mx_cursor *cursor, const struct xml_element *direction) {
    const bool suddenly = says_suddenly(direction);
    const eh_ticks at = place_of(cursor, direction);
    enum eh_status status = EH_OK;
    for (const struct xml_element *type = xml_child(direction, "direction-type");
         status == EH_OK && type != NULL; type = xml_again(type)) {
        for (const struct xml_element *element = xml_first(type);
             status == EH_OK && element != NULL; element = xml_next(element)) {
            status = read_type(cursor, element, at, suddenly);
        }
    }
    const struct xml_element *sound = xml_child(direction, "sound");
    if (sound != NULL) {
        mx_read_sound(cursor, sound);
    }
    return status;
}
