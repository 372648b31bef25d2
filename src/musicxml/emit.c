/* What was read, into the builder. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "read.h"

struct emission {
    struct mx_reading *reading;
    struct eh_builder *builder;
    size_t next_mark;
    int bar; /* that is being written, for complaints */
    uint8_t beats, unit;
};

static struct eh_place at_line(int line) {
    return (struct eh_place){.line = line, .column = 0};
}

/* Words ---------------------------------------------------------------------------------------- */

/* Controls from U+0080 to U+009F drive terminals; the builder takes none. Cut at LIMIT bytes,
 * between characters. */
static size_t clean_text(char *text, size_t length, size_t limit, bool *out_cut) {
    size_t to = 0;
    for (size_t i = 0; i < length; i++) {
        const unsigned char c = (unsigned char)text[i];
        if (c == 0xC2 && i + 1 < length && (unsigned char)text[i + 1] < 0xA0) {
            i++;
            text[to++] = ' ';
        } else {
            text[to++] = text[i];
        }
    }
    *out_cut = to > limit;
    if (to > limit) {
        to = limit;
        while (to > 0 && ((unsigned char)text[to] & 0xC0) == 0x80) {
            to--;
        }
    }
    return to;
}

typedef enum eh_status build_text(struct eh_builder *builder, const char *text, size_t length,
                                  struct eh_place place);

static enum eh_status emit_text(struct emission *emission, const struct xml_element *element,
                                size_t limit, build_text *build, const char *what) {
    if (element == NULL) {
        return EH_OK;
    }
    char none = '\0';
    const size_t length = xml_long_text(element, &none, 0);
    char *text = malloc(length + 1);
    if (text == NULL) {
        return mx_no_memory(emission->reading);
    }
    (void)xml_long_text(element, text, length + 1);
    bool is_cut = false;
    const size_t kept = clean_text(text, length, limit, &is_cut);
    if (is_cut) {
        mx_remark(emission->reading, -1, xml_line(element), "the %s is cut to %zu bytes", what,
                  limit);
    }
    const enum eh_status status = build(emission->builder, text, kept, at_line(xml_line(element)));
    free(text);
    return status;
}

static bool has_text(const struct xml_element *element) {
    char text[XML_TEXT];
    return xml_text(element, text)[0] != '\0';
}

static const struct xml_element *find_title(const struct mx_reading *reading) {
    const struct xml_element *work = xml_child(xml_child(reading->root, "work"), "work-title");
    return has_text(work) ? work : xml_child(reading->root, "movement-title");
}

static const struct xml_element *find_field(const struct mx_reading *reading, const char *name) {
    const struct xml_element *at =
        xml_child(xml_child(xml_child(reading->root, "identification"), "miscellaneous"),
                  "miscellaneous-field");
    while (at != NULL && !xml_has(at, "name", name)) {
        at = xml_again(at);
    }
    return at;
}

/* A name of a style is letters that a file's name has. */
static bool is_style(const char *text) {
    const size_t length = strlen(text);
    return length > 0 && length <= EH_EXERCISE_STYLE_MAX &&
           strspn(text, "abcdefghijklmnopqrstuvwxyz0123456789-_") == length;
}

static enum eh_status emit_style(struct emission *emission) {
    char text[XML_TEXT];
    const struct xml_element *field = find_field(emission->reading, "evenhand-style");
    xml_text(field, text);
    if (field == NULL || text[0] == '\0') {
        return EH_OK;
    }
    if (!is_style(text)) {
        mx_remark(emission->reading, -1, xml_line(field), "\"%.40s\" is no name of a style", text);
        return EH_OK;
    }
    return eh_build_style(emission->builder, text, strlen(text), at_line(xml_line(field)));
}

static enum eh_status emit_head(struct emission *emission) {
    const struct mx_reading *reading = emission->reading;
    enum eh_status status =
        emit_text(emission, find_title(reading), EH_EXERCISE_TITLE_MAX, eh_build_title, "title");
    if (status == EH_OK) {
        status = emit_text(emission, find_field(reading, "evenhand-about"), EH_EXERCISE_ABOUT_MAX,
                           eh_build_about, "text about the exercise");
    }
    if (status == EH_OK) {
        status = emit_style(emission);
    }
    if (status == EH_OK && reading->tempo_start_milli > 0) {
        status = eh_build_tempo(emission->builder, reading->tempo_start_milli,
                                reading->tempo_goal_milli, at_line(1));
    }
    return status;
}

/* Bars -------------------------------------------------------------------------------------------
 */

static enum eh_status emit_piece(struct emission *emission, const struct mx_piece *piece) {
    struct eh_builder *builder = emission->builder;
    const struct eh_place place = at_line(piece->line);
    switch ((enum mx_piece_kind)piece->kind) {
    case MX_PLAY:
        return eh_build_note(builder, piece->value, piece->dots, &piece->note, place);
    case MX_REST:
        return eh_build_rest(builder, piece->value, piece->dots, place);
    case MX_HOLD:
        return eh_build_hold(builder, piece->value, piece->dots, place);
    case MX_GROUP:
        return eh_build_group(builder, piece->actual, piece->normal, place);
    case MX_GROUP_END:
        break;
    }
    return eh_build_group_end(builder, place);
}

/* The marks of the open bar up to and at AT. */
static enum eh_status emit_marks(struct emission *emission, eh_ticks at) {
    const struct mx_rows *rows = &emission->reading->rows;
    enum eh_status status = EH_OK;
    while (status == EH_OK && emission->next_mark < rows->mark_count &&
           rows->marks[emission->next_mark].bar == emission->bar &&
           rows->marks[emission->next_mark].at <= at) {
        const struct mx_mark *mark = &rows->marks[emission->next_mark++];
        status = eh_build_mark(emission->builder, mark->out, at_line(mark->line));
    }
    return status;
}

static enum eh_status emit_items(struct emission *emission, const struct mx_bar *bar) {
    const struct mx_rows *rows = &emission->reading->rows;
    enum eh_status status = EH_OK;
    for (size_t i = bar->first_piece; status == EH_OK && i < bar->first_piece + bar->piece_count;
         i++) {
        const struct mx_piece *piece = &rows->pieces[i];
        if (piece->kind != MX_GROUP_END) {
            status = emit_marks(emission, piece->at);
        }
        if (status == EH_OK) {
            status = emit_piece(emission, piece);
        }
    }
    return status == EH_OK ? emit_marks(emission, bar->length) : status;
}

static enum eh_status emit_opening(struct emission *emission, const struct mx_bar *bar) {
    struct eh_builder *builder = emission->builder;
    const struct eh_place place = at_line(bar->line);
    enum eh_status status = EH_OK;
    if (bar->repeat_from) {
        eh_build_repeat_from(builder);
    }
    if (bar->is_short) {
        eh_build_short(builder);
    }
    for (int k = 0; status == EH_OK && k < EH_WRITTEN_ENDINGS_MAX; k++) {
        if (bar->endings >> k & 1) {
            status = eh_build_ending(builder, k + 1, place);
        }
    }
    return status;
}

static enum eh_status emit_bar(struct emission *emission, int index) {
    const struct mx_bar *bar = &emission->reading->rows.bars[index];
    const struct eh_place place = at_line(bar->line);
    struct eh_builder *builder = emission->builder;
    enum eh_status status = EH_OK;
    emission->bar = index;
    if (bar->beats != emission->beats || bar->unit != emission->unit) {
        emission->beats = bar->beats;
        emission->unit = bar->unit;
        status = eh_build_metre(builder, bar->beats, bar->unit, place);
    }
    if (status == EH_OK) {
        status = eh_build_bar(builder, place);
    }
    if (status == EH_OK) {
        status = emit_opening(emission, bar);
    }
    if (status == EH_OK) {
        status = emit_items(emission, bar);
    }
    if (status == EH_OK) {
        status = eh_build_bar_end(builder, place);
    }
    if (status == EH_OK && bar->times != 0) {
        status = eh_build_repeat_back(builder, bar->times, place);
    }
    return status;
}

/* The builder counts bars; a reader of the score looks for the number on the paper. */
static void name_measure(const struct emission *emission, struct eh_error *error) {
    if (error == NULL || error->line == 0) {
        return;
    }
    const struct mx_rows *rows = &emission->reading->rows;
    int bar = emission->bar;
    for (size_t i = 0; bar < 0 && i < rows->bar_count; i++) {
        const bool last = i + 1 == rows->bar_count || rows->bars[i + 1].line > error->line;
        bar = last ? (int)i : -1;
    }
    char text[EH_ERROR_TEXT];
    (void)snprintf(text, sizeof text, "measure %.20s: %.400s", rows->bars[bar].number, error->text);
    memcpy(error->text, text, sizeof text);
}

static enum eh_status emit_all(struct emission *emission, struct eh_exercise **out) {
    const struct mx_rows *rows = &emission->reading->rows;
    enum eh_status status = emit_head(emission);
    for (size_t i = 0; status == EH_OK && i < rows->bar_count; i++) {
        status = emit_bar(emission, (int)i);
    }
    if (status == EH_OK) {
        emission->bar = -1;
        status = eh_builder_finish(emission->builder, out, at_line(rows->bars[0].line));
    }
    if (status != EH_OK && status != EH_NO_MEMORY && status != EH_EMPTY) {
        name_measure(emission, emission->reading->error);
    }
    return status;
}

enum eh_status mx_emit(struct mx_reading *reading, struct eh_exercise **out) {
    struct emission emission = {.reading = reading, .beats = 4, .unit = 4};
    enum eh_status status = eh_builder_new(&emission.builder, reading->error);
    if (status == EH_OK) {
        status = emit_all(&emission, out);
    }
    eh_builder_free(emission.builder);
    return status;
}
