/* Measure by measure, element by element: where the position is, what is laid there. */
#include "read.h"

#include <stdlib.h>
#include <string.h>

enum { DIVISIONS_MAX = 1000000, FIXED = 1024 };

#define MILLIONTHS INT64_C(1000000)

/* No measure is longer than this many quarters: 64 whole notes. */
#define QUARTERS_MAX INT64_C(256)

int64_t mx_duration(const struct mx_cursor *cursor, const struct xml_element *element) {
    char text[XML_TEXT];
    int64_t millionths = 0;
    xml_text(xml_child(element, "duration"), text);
    if (!mx_read_millionths(text, &millionths) || millionths > QUARTERS_MAX * cursor->divisions) {
        return -1;
    }
    /* At most 2^8 quarters of 2^25 fixed ticks: the quotient first, then the rest. */
    const int64_t quarter = EH_TICKS_PER_QUARTER * FIXED;
    const int64_t whole = millionths / cursor->divisions;
    const double rest = (double)(millionths % cursor->divisions) / (double)cursor->divisions;
    return whole * quarter + (int64_t)(rest * (double)quarter + 0.5);
}

void mx_advance(struct mx_cursor *cursor, int64_t duration) {
    cursor->raw += duration;
    cursor->raw = cursor->raw < 0 ? 0 : cursor->raw;
    cursor->at = (cursor->raw + FIXED / 2) / FIXED;
}

/* Attributes -------------------------------------------------------------------------------- */

static enum eh_status read_divisions(struct mx_cursor *cursor, const struct xml_element *element) {
    char text[XML_TEXT];
    int64_t divisions = 0;
    if (element == NULL) {
        return EH_OK;
    }
    if (!mx_read_millionths(xml_text(element, text), &divisions) || divisions < 1000 ||
        divisions > DIVISIONS_MAX * MILLIONTHS) {
        return mx_fail(cursor->reading, EH_BAD_SYNTAX, cursor->bar, xml_line(element),
                       "expected divisions of a quarter up to %d, found \"%.40s\"", DIVISIONS_MAX,
                       text);
    }
    cursor->divisions = divisions;
    return EH_OK;
}

/* "4", or "3+2"; 0: neither. */
static int read_beats(const char *text) {
    int sum = 0;
    while (*text != '\0') {
        char part[XML_TEXT];
        const size_t length = strcspn(text, "+");
        size_t from = 0;
        size_t to = length;
        while (from < to && text[from] == ' ') {
            from++;
        }
        while (to > from && text[to - 1] == ' ') {
            to--;
        }
        memcpy(part, text + from, to - from);
        part[to - from] = '\0';
        int number = 0;
        if (!mx_read_whole(part, 1, EH_WRITTEN_BEATS_MAX, &number)) {
            return 0;
        }
        sum += number;
        text += length + (text[length] == '+');
    }
    return sum;
}

/* Adds N units of 1/UNIT to the metre. */
static bool add_beats(int *beats, int *unit, int more, int more_unit) {
    if (*unit == 0) {
        *beats = more;
        *unit = more_unit;
        return true;
    }
    const int common = *unit > more_unit ? *unit : more_unit;
    *beats = *beats * (common / *unit) + more * (common / more_unit);
    *unit = common;
    return true;
}

/* <beats> and <beat-type> come in pairs; 3/8 + 2/4 is 7/8. */
static enum eh_status read_time(struct mx_cursor *cursor, const struct xml_element *time) {
    int beats = 0;
    int unit = 0;
    bool good = true;
    const struct xml_element *type = xml_child(time, "beat-type");
    for (const struct xml_element *at = xml_child(time, "beats"); at != NULL && good;
         at = xml_again(at)) {
        char text[XML_TEXT];
        int more_unit = 0;
        const int more = read_beats(xml_text(at, text));
        good = type != NULL && more > 0 &&
               mx_read_whole(xml_text(type, text), 1, EH_WRITTEN_UNIT_MAX, &more_unit) &&
               (more_unit & (more_unit - 1)) == 0 && add_beats(&beats, &unit, more, more_unit);
        type = type == NULL ? NULL : xml_again(type);
    }
    if (!good || beats < 1 || beats > EH_WRITTEN_BEATS_MAX) {
        return mx_fail(cursor->reading, EH_BAD_SYNTAX, cursor->bar, xml_line(time),
                       "expected a metre of 1 to %d beats of 1, 2, 4 ... %d (beats and beat-type), "
                       "found none%s",
                       EH_WRITTEN_BEATS_MAX, EH_WRITTEN_UNIT_MAX,
                       xml_child(time, "senza-misura") != NULL ? " (senza misura)" : "");
    }
    cursor->beats = (uint8_t)beats;
    cursor->unit = (uint8_t)unit;
    return EH_OK;
}

static void read_style(struct mx_cursor *cursor, const struct xml_element *style) {
    if (xml_child(style, "measure-repeat") != NULL || xml_child(style, "beat-repeat") != NULL ||
        xml_child(style, "slash") != NULL) {
        cursor->reading->rows.bars[cursor->bar].drawn_repeat = true;
    }
}

static enum eh_status read_attributes(struct mx_cursor *cursor,
                                      const struct xml_element *attributes) {
    enum eh_status status = read_divisions(cursor, xml_child(attributes, "divisions"));
    const struct xml_element *time = xml_child(attributes, "time");
    if (status == EH_OK && time != NULL) {
        if (cursor->raw > 0) {
            mx_remark(cursor->reading, cursor->bar, xml_line(time),
                      "a metre inside a measure: it holds from the next measure on");
        }
        status = read_time(cursor, time);
    }
    for (const struct xml_element *style = xml_child(attributes, "measure-style"); style != NULL;
         style = xml_again(style)) {
        read_style(cursor, style);
    }
    return status;
}

/* Elements ---------------------------------------------------------------------------------- */

static enum eh_status read_move(struct mx_cursor *cursor, const struct xml_element *element) {
    const int64_t duration = mx_duration(cursor, element);
    if (duration < 0) {
        return mx_fail(cursor->reading, EH_BAD_SYNTAX, cursor->bar, xml_line(element),
                       "expected a duration in the %s, found none that can be", xml_name(element));
    }
    mx_advance(cursor, xml_is(element, "backup") ? -duration : duration);
    struct mx_bar *bar = &cursor->reading->rows.bars[cursor->bar];
    bar->extent = cursor->at > bar->extent ? cursor->at : bar->extent;
    cursor->last_note = SIZE_MAX;
    return EH_OK;
}

static bool is_mere_layout(const struct xml_element *element) {
    static const char *const layout[] = {"print", "bookmark", "link", "grouping", "listening"};
    for (size_t i = 0; i < sizeof layout / sizeof layout[0]; i++) {
        if (xml_is(element, layout[i])) {
            return true;
        }
    }
    return false;
}

static enum eh_status read_element(struct mx_cursor *cursor, const struct xml_element *element) {
    if (xml_is(element, "note")) {
        return mx_read_note(cursor, element);
    }
    if (xml_is(element, "backup") || xml_is(element, "forward")) {
        return read_move(cursor, element);
    }
    if (xml_is(element, "attributes")) {
        return read_attributes(cursor, element);
    }
    if (xml_is(element, "direction")) {
        return mx_read_direction(cursor, element);
    }
    if (xml_is(element, "barline")) {
        mx_read_barline(cursor, element);
    } else if (xml_is(element, "sound")) {
        mx_read_sound(cursor, element);
    } else if (!is_mere_layout(element)) {
        mx_remark(cursor->reading, cursor->bar, xml_line(element), "%.40s is not read",
                  xml_name(element));
    }
    return EH_OK;
}

static enum eh_status read_bar(struct mx_cursor *cursor) {
    struct mx_rows *rows = &cursor->reading->rows;
    enum eh_status status = EH_OK;
    cursor->raw = 0;
    cursor->at = 0;
    cursor->last_note = SIZE_MAX;
    memset(cursor->raw_end, 0, sizeof cursor->raw_end);
    memset(cursor->end, 0, sizeof cursor->end);
    rows->bars[cursor->bar].first_note = rows->note_count;
    /* The metre may change at any place of the attributes that open the measure. */
    for (const struct xml_element *at = xml_first(rows->bars[cursor->bar].content);
         status == EH_OK && at != NULL; at = xml_next(at)) {
        status = read_element(cursor, at);
        if (cursor->raw == 0) {
            rows->bars[cursor->bar].beats = cursor->beats;
            rows->bars[cursor->bar].unit = cursor->unit;
        }
    }
    struct mx_bar *bar = &rows->bars[cursor->bar];
    if (bar->beats == 0) {
        bar->beats = cursor->beats;
        bar->unit = cursor->unit;
    }
    bar->note_count = rows->note_count - bar->first_note;
    return status;
}

enum eh_status mx_walk(struct mx_reading *reading) {
    struct mx_cursor cursor = {.reading = reading, .divisions = MILLIONTHS, .beats = 4, .unit = 4};
    enum eh_status status = EH_OK;
    for (size_t i = 0; status == EH_OK && i < reading->rows.bar_count; i++) {
        cursor.bar = (int)i;
        status = read_bar(&cursor);
    }
    if (status == EH_OK && cursor.pending.grace_count > 0) {
        mx_remark(reading, (int)reading->rows.bar_count - 1, cursor.pending.line,
                  "grace notes without a note after them are left out");
    }
    return status;
}
