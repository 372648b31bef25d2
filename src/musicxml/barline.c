/* Repeats and endings. */
#include <string.h>

#include "read.h"

static bool at_left(const struct xml_element *barline) {
    return xml_has(barline, "location", "left");
}

static void read_repeat(struct mx_cursor *cursor, const struct xml_element *repeat, bool left) {
    struct mx_bar *bar = &cursor->reading->rows.bars[cursor->bar];
    char text[XML_TEXT];
    if (xml_has(repeat, "direction", "forward")) {
        if (left || cursor->at == 0) {
            bar->repeat_from = true;
            return;
        }
        mx_remark(cursor->reading, cursor->bar, xml_line(repeat),
                  "a repeat sign that opens inside or behind a measure is not read");
        return;
    }
    int times = 2;
    xml_value(repeat, "times", text);
    if (text[0] != '\0' && !mx_read_whole(text, 2, EH_WRITTEN_TIMES_MAX, &times)) {
        mx_remark(cursor->reading, cursor->bar, xml_line(repeat),
                  "a repeat that is played \"%.20s\" times: expected 2 to %d, it is played twice",
                  text, EH_WRITTEN_TIMES_MAX);
        times = 2;
    }
    if (left && cursor->bar > 0) {
        bar[-1].times = (uint8_t)times;
    } else if (!left) {
        bar->times = (uint8_t)times;
    }
}

/* "1", "1, 2", "1,2", "1-3"; the bits, 0: nothing that can be. */
static unsigned ending_bits(const char *text) {
    unsigned bits = 0;
    int before = 0;
    bool range = false;
    for (const char *at = text; *at != '\0'; at++) {
        if (*at >= '1' && *at <= '9') {
            const int number = *at - '0';
            for (int k = range && before > 0 ? before + 1 : number; k <= number; k++) {
                bits |= 1u << (k - 1);
            }
            before = number;
            range = false;
        } else if (*at == '-') {
            range = true;
        } else if (*at == '0') {
            return 0;
        }
    }
    return bits;
}

static void read_ending(struct mx_cursor *cursor, const struct xml_element *ending) {
    struct mx_bar *bar = &cursor->reading->rows.bars[cursor->bar];
    char text[XML_TEXT];
    if (!xml_has(ending, "type", "start")) {
        bar->ending_stops = true;
        return;
    }
    const unsigned bits = ending_bits(xml_value(ending, "number", text));
    if (bits == 0) {
        mx_remark(cursor->reading, cursor->bar, xml_line(ending),
                  "an ending numbered \"%.20s\" is not read: expected 1 to %d", text,
                  EH_WRITTEN_ENDINGS_MAX);
        return;
    }
    bar->endings = (uint16_t)bits;
}

void mx_read_barline(struct mx_cursor *cursor, const struct xml_element *barline) {
    static const char *const drawn[] = {"bar-style", "footnote", "level", "repeat", "ending"};
    const bool left = at_left(barline);
    for (const struct xml_element *at = xml_first(barline); at != NULL; at = xml_next(at)) {
        bool known = false;
        for (size_t i = 0; i < sizeof drawn / sizeof drawn[0]; i++) {
            known = known || xml_is(at, drawn[i]);
        }
        if (xml_is(at, "repeat")) {
            if (xml_has(barline, "location", "middle")) {
                mx_remark(cursor->reading, cursor->bar, xml_line(at),
                          "a repeat sign inside a measure is not read");
            } else {
                read_repeat(cursor, at, left);
            }
        } else if (xml_is(at, "ending")) {
            read_ending(cursor, at);
        } else if (!known) {
            mx_remark(cursor->reading, cursor->bar, xml_line(at), "%.40s at a bar line is not read",
                      xml_name(at));
        }
    }
}
