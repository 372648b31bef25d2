/* The document: head, part list, measures with their signs and marks. */
#include "write.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/musicxml.h"

struct writing {
    const struct eh_exercise *exercise;
    struct xml_out *xml;
    eh_ticks division; /* ticks a division */
    size_t item_count; /* of the whole exercise */
    int bar_count;
    struct write_item *row; /* of the open bar */
    size_t row_count;
    /* the groups that are open while a row is gathered */
    int depth, actual, normal, starts;
    uint8_t start_actual[EH_WRITTEN_DEPTH_MAX], start_normal[EH_WRITTEN_DEPTH_MAX];
    int outer_actual[EH_WRITTEN_DEPTH_MAX], outer_normal[EH_WRITTEN_DEPTH_MAX];
    struct eh_written_item sounding, before_endings; /* what a hold prolongs */
    bool swell;                                      /* a hairpin is open */
    bool ended;                                      /* one has ended without a dynamic, at: */
    eh_ticks ended_at;
    eh_ticks bar_at; /* of the open bar, in the row of written bars */
};

/* Head -------------------------------------------------------------------------------------- */

/* XML has no room for U+FFFE and U+FFFF (XML 1.0, Char). */
static void write_clean(struct xml_out *xml, const char *text) {
    struct eh_text clean = {0};
    for (const char *at = text; *at != '\0'; at++) {
        if (memcmp(at, "\xef\xbf", 2) == 0 && (at[2] == '\xbe' || at[2] == '\xbf')) {
            eh_text_add(&clean, "\xef\xbf\xbd");
            at += 2;
        } else {
            eh_text_add_char(&clean, *at);
        }
    }
    if (eh_text_status(&clean) != EH_OK) {
        xml_out_fail(xml);
    }
    xml_words(xml, eh_text_string(&clean));
    eh_text_deinit(&clean);
}

static void write_field(struct xml_out *xml, const char *name, const char *value) {
    if (value[0] != '\0') {
        xml_open(xml, "miscellaneous-field");
        xml_attribute(xml, "name", name);
        write_clean(xml, value);
        xml_close(xml);
    }
}

static void write_identification(const struct writing *writing) {
    struct xml_out *xml = writing->xml;
    const char *about = eh_exercise_about(writing->exercise);
    const char *style = eh_exercise_style(writing->exercise);
    xml_open(xml, "identification");
    xml_open(xml, "encoding");
    xml_leaf(xml, "software", "evenhand");
    xml_close(xml);
    if (about[0] != '\0' || style[0] != '\0') {
        xml_open(xml, "miscellaneous");
        write_field(xml, "evenhand-about", about);
        write_field(xml, "evenhand-style", style);
        xml_close(xml);
    }
    xml_close(xml);
}

/* midi-unpitched counts from 1: General MIDI's acoustic snare, note 38, is 39. */
static void write_part_list(struct xml_out *xml) {
    xml_open(xml, "part-list");
    xml_open(xml, "score-part");
    xml_attribute(xml, "id", "P1");
    xml_leaf(xml, "part-name", "Snare drum");
    xml_open(xml, "score-instrument");
    xml_attribute(xml, "id", "P1-I1");
    xml_leaf(xml, "instrument-name", "Snare drum");
    xml_leaf(xml, "instrument-sound", "drum.snare-drum");
    xml_close(xml);
    xml_open(xml, "midi-instrument");
    xml_attribute(xml, "id", "P1-I1");
    xml_leaf(xml, "midi-channel", "10");
    xml_leaf(xml, "midi-unpitched", "39");
    xml_close(xml);
    xml_close(xml);
    xml_close(xml);
}

static void write_head(const struct writing *writing) {
    const char *title = eh_exercise_title(writing->exercise);
    xml_attribute(writing->xml, "version", "4.0");
    if (title[0] != '\0') {
        xml_open(writing->xml, "work");
        xml_open(writing->xml, "work-title");
        write_clean(writing->xml, title);
        xml_close(writing->xml);
        xml_close(writing->xml);
    }
    write_identification(writing);
    write_part_list(writing->xml);
}

/* Directions -------------------------------------------------------------------------------- */

static void open_direction(struct xml_out *xml, const char *placement) {
    xml_open(xml, "direction");
    xml_attribute(xml, "placement", placement);
    xml_open(xml, "direction-type");
}

static void close_direction(struct xml_out *xml) {
    xml_close(xml);
    xml_close(xml);
}

static void write_wedge(struct xml_out *xml, const char *type) {
    open_direction(xml, "below");
    xml_open(xml, "wedge");
    xml_attribute(xml, "type", type);
    xml_attribute(xml, "number", "1");
    xml_close(xml);
    close_direction(xml);
}

/* SUDDENLY: the hairpin before it does not lead to this dynamic. */
static void write_dynamic(struct xml_out *xml, int dynamic, bool suddenly) {
    open_direction(xml, "below");
    if (suddenly) {
        xml_leaf(xml, "words", "sub.");
        xml_close(xml);
        xml_open(xml, "direction-type");
    }
    xml_open(xml, "dynamics");
    xml_leaf(xml, eh_dynamic_text((enum eh_dynamic)dynamic), NULL);
    xml_close(xml);
    close_direction(xml);
}

/* A dynamic behind the end of a hairpin, with no stroke between, would be taken for its target. */
static void write_mark(struct writing *writing, const struct eh_written_item *item) {
    if (writing->swell) {
        write_wedge(writing->xml, "stop");
        writing->swell = false;
    }
    switch (item->mark) {
    case EH_MARK_END:
        writing->ended = true;
        writing->ended_at = writing->bar_at + item->at;
        return;
    case EH_MARK_CRESC:
    case EH_MARK_DIM:
        write_wedge(writing->xml, item->mark == EH_MARK_CRESC ? "crescendo" : "diminuendo");
        writing->swell = true;
        break;
    default:
        write_dynamic(writing->xml, item->mark, writing->ended);
    }
    writing->ended = false;
}

static int add_milli(char *out, size_t size, double bpm) {
    int length = snprintf(out, size, "%d.%03d", (int)bpm, (int)(bpm * 1000.0 + 0.5) % 1000);
    while (length > 0 && out[length - 1] == '0') {
        out[--length] = '\0';
    }
    if (length > 0 && out[length - 1] == '.') {
        out[--length] = '\0';
    }
    return length;
}

/* Where to start and what to aim at, as a range; a program that plays it starts slowly. */
static void write_tempo(const struct writing *writing) {
    char start[24];
    char both[56];
    (void)add_milli(start, sizeof start, eh_exercise_tempo_start(writing->exercise));
    char goal[24];
    (void)add_milli(goal, sizeof goal, eh_exercise_tempo_goal(writing->exercise));
    (void)snprintf(both, sizeof both, "%s-%s", start, goal);
    open_direction(writing->xml, "above");
    xml_open(writing->xml, "metronome");
    xml_leaf(writing->xml, "beat-unit", "quarter");
    xml_leaf(writing->xml, "per-minute", strcmp(start, goal) == 0 ? start : both);
    xml_close(writing->xml);
    xml_close(writing->xml);
    xml_open(writing->xml, "sound");
    xml_attribute(writing->xml, "tempo", start);
    xml_close(writing->xml);
    xml_close(writing->xml);
}

/* A row of notes ---------------------------------------------------------------------------- */

/* Whether the next note, rest or hold after INDEX is a hold. */
static bool leads_to_hold(const struct writing *writing, size_t index) {
    for (size_t i = index + 1; i < writing->item_count; i++) {
        const struct eh_written_item next = eh_exercise_written_item(writing->exercise, i);
        if (next.length > 0) {
            return next.kind == EH_WRITTEN_HOLD;
        }
    }
    return false;
}

static void open_group(struct writing *writing, const struct eh_written_item *item) {
    writing->outer_actual[writing->depth] = writing->actual;
    writing->outer_normal[writing->depth] = writing->normal;
    writing->depth++;
    writing->actual *= item->actual;
    writing->normal *= item->normal;
    writing->start_actual[writing->starts] = item->actual;
    writing->start_normal[writing->starts] = item->normal;
    writing->starts++;
}

static void close_group(struct writing *writing) {
    writing->depth--;
    writing->actual = writing->outer_actual[writing->depth];
    writing->normal = writing->outer_normal[writing->depth];
    writing->row[writing->row_count - 1].stops++;
}

static void add_sounding(struct writing *writing, size_t index,
                         const struct eh_written_item *item) {
    struct write_item *row = &writing->row[writing->row_count++];
    if (item->kind != EH_WRITTEN_HOLD) {
        writing->sounding = *item;
    }
    *row = (struct write_item){.item = *item,
                               .source = writing->sounding,
                               .tied_from = item->kind == EH_WRITTEN_HOLD,
                               .tied_to =
                                   item->kind != EH_WRITTEN_REST && leads_to_hold(writing, index),
                               .actual = writing->actual,
                               .normal = writing->normal,
                               .depth = writing->depth,
                               .starts = writing->starts};
    memcpy(row->start_actual, writing->start_actual, sizeof row->start_actual);
    memcpy(row->start_normal, writing->start_normal, sizeof row->start_normal);
    writing->starts = 0;
}

static void gather_row(struct writing *writing, const struct eh_written_bar *bar) {
    writing->row_count = 0;
    for (size_t i = bar->first; i < bar->first + bar->count; i++) {
        const struct eh_written_item item = eh_exercise_written_item(writing->exercise, i);
        switch ((enum eh_written_kind)item.kind) {
        case EH_WRITTEN_GROUP:
            open_group(writing, &item);
            break;
        case EH_WRITTEN_GROUP_END:
            close_group(writing);
            break;
        case EH_WRITTEN_MARK:
            break;
        default:
            add_sounding(writing, i, &item);
        }
    }
    write_beams(writing->row, writing->row_count, bar);
}

/* Measures ---------------------------------------------------------------------------------- */

static void write_attributes(const struct writing *writing, int index,
                             const struct eh_written_bar *bar) {
    struct xml_out *xml = writing->xml;
    const struct eh_written_bar before =
        eh_exercise_written_bar(writing->exercise, index == 0 ? 0 : index - 1);
    if (index > 0 && before.beats == bar->beats && before.unit == bar->unit) {
        return;
    }
    xml_open(xml, "attributes");
    if (index == 0) {
        xml_leaf_number(xml, "divisions", EH_TICKS_PER_QUARTER / writing->division);
    }
    xml_open(xml, "time");
    xml_leaf_number(xml, "beats", bar->beats);
    xml_leaf_number(xml, "beat-type", bar->unit);
    xml_close(xml);
    if (index == 0) {
        xml_open(xml, "clef");
        xml_leaf(xml, "sign", "percussion");
        xml_close(xml);
    }
    xml_close(xml);
}

static void endings_text(unsigned endings, char out[32]) {
    size_t length = 0;
    for (int k = 0; k < EH_WRITTEN_ENDINGS_MAX; k++) {
        if (endings >> k & 1u) {
            length +=
                (size_t)snprintf(out + length, 32 - length, length > 0 ? ", %d" : "%d", k + 1);
        }
    }
}

static void write_ending(struct xml_out *xml, unsigned endings, const char *type) {
    char numbers[32] = "";
    endings_text(endings, numbers);
    xml_open(xml, "ending");
    xml_attribute(xml, "number", numbers);
    xml_attribute(xml, "type", type);
    xml_close(xml);
}

static void write_left_barline(struct xml_out *xml, const struct eh_written_bar *bar) {
    if (!bar->repeat_from && bar->endings == 0) {
        return;
    }
    xml_open(xml, "barline");
    xml_attribute(xml, "location", "left");
    if (bar->repeat_from) {
        xml_leaf(xml, "bar-style", "heavy-light");
    }
    if (bar->endings != 0) {
        write_ending(xml, bar->endings, "start");
    }
    if (bar->repeat_from) {
        xml_open(xml, "repeat");
        xml_attribute(xml, "direction", "forward");
        xml_close(xml);
    }
    xml_close(xml);
}

/* The ending that bar INDEX closes, 0 for none. *OUT_LAST: it leads on, so that its bracket stays
 * open; it is drawn over its first bar. */
static unsigned closes_ending(const struct writing *writing, int index, bool *out_last) {
    *out_last = false;
    const struct eh_written_bar bar = eh_exercise_written_bar(writing->exercise, index);
    if (bar.times != 0) {
        for (int i = index; i >= 0; i--) {
            const struct eh_written_bar back = eh_exercise_written_bar(writing->exercise, i);
            if (back.endings != 0 || (i < index && back.times != 0)) {
                return back.times != 0 && i < index ? 0 : back.endings;
            }
            if (back.repeat_from) {
                return 0;
            }
        }
        return 0;
    }
    for (int i = index; bar.endings != 0 && i < writing->bar_count; i++) {
        const struct eh_written_bar later = eh_exercise_written_bar(writing->exercise, i);
        if (later.times != 0) {
            return 0;
        }
        if (i > index && (later.repeat_from || later.endings != 0)) {
            break;
        }
    }
    *out_last = bar.endings != 0;
    return bar.endings;
}

static void write_right_barline(const struct writing *writing, int index,
                                const struct eh_written_bar *bar) {
    bool last = false;
    const unsigned ending = closes_ending(writing, index, &last);
    const bool end = index + 1 == writing->bar_count;
    if (bar->times == 0 && ending == 0 && !end) {
        return;
    }
    xml_open(writing->xml, "barline");
    xml_attribute(writing->xml, "location", "right");
    if (bar->times != 0 || end) {
        xml_leaf(writing->xml, "bar-style", "light-heavy");
    }
    if (ending != 0) {
        write_ending(writing->xml, ending, last ? "discontinue" : "stop");
    }
    if (bar->times != 0) {
        xml_open(writing->xml, "repeat");
        xml_attribute(writing->xml, "direction", "backward");
        if (bar->times != 2) {
            xml_attribute_number(writing->xml, "times", bar->times);
        }
        xml_close(writing->xml);
    }
    xml_close(writing->xml);
}

static void write_items(struct writing *writing, const struct eh_written_bar *bar) {
    size_t row = 0;
    for (size_t i = bar->first; i < bar->first + bar->count; i++) {
        const struct eh_written_item item = eh_exercise_written_item(writing->exercise, i);
        if (item.kind == EH_WRITTEN_MARK) {
            write_mark(writing, &item);
        } else if (item.length > 0) {
            const bool behind = writing->bar_at + item.at > writing->ended_at;
            writing->ended = writing->ended && !(item.kind == EH_WRITTEN_NOTE && behind);
            write_note(writing->xml, &writing->row[row++], writing->division);
        }
    }
}

static void write_measure(struct writing *writing, int index) {
    const struct eh_written_bar bar = eh_exercise_written_bar(writing->exercise, index);
    if (bar.endings & 1u) {
        writing->before_endings = writing->sounding;
    } else if (bar.endings != 0) {
        writing->sounding = writing->before_endings;
    }
    xml_open(writing->xml, "measure");
    xml_attribute_number(writing->xml, "number", index + 1);
    if (bar.is_short) {
        xml_attribute(writing->xml, "implicit", "yes");
    }
    write_left_barline(writing->xml, &bar);
    write_attributes(writing, index, &bar);
    if (index == 0) {
        write_tempo(writing);
    }
    gather_row(writing, &bar);
    write_items(writing, &bar);
    write_right_barline(writing, index, &bar);
    xml_close(writing->xml);
    writing->bar_at += bar.length;
}

/* The whole --------------------------------------------------------------------------------- */

/* Counts what is written, and finds the largest division that holds every length. */
static size_t survey(struct writing *writing) {
    size_t longest = 0;
    writing->bar_count = eh_exercise_bar_count(writing->exercise);
    writing->division = EH_TICKS_PER_QUARTER;
    for (int i = 0; i < writing->bar_count; i++) {
        const struct eh_written_bar bar = eh_exercise_written_bar(writing->exercise, i);
        longest = bar.count > longest ? bar.count : longest;
        writing->item_count = bar.first + bar.count;
        for (size_t k = bar.first; k < writing->item_count; k++) {
            writing->division = eh_common_divisor(
                writing->division, eh_exercise_written_item(writing->exercise, k).length);
        }
    }
    return longest;
}

enum eh_status eh_musicxml_write(const struct eh_exercise *exercise, struct eh_text *out) {
    struct writing writing = {.exercise = exercise, .actual = 1, .normal = 1};
    const size_t longest = survey(&writing);
    writing.row = calloc(longest + 1, sizeof *writing.row);
    writing.xml = writing.row == NULL
                      ? NULL
                      : xml_out_new("score-partwise", "-//Recordare//DTD MusicXML 4.0 Partwise//EN",
                                    "http://www.musicxml.org/dtds/partwise.dtd");
    if (writing.xml == NULL) {
        free(writing.row);
        return EH_NO_MEMORY;
    }
    xml_open(writing.xml, "score-partwise");
    write_head(&writing);
    xml_open(writing.xml, "part");
    xml_attribute(writing.xml, "id", "P1");
    for (int i = 0; i < writing.bar_count; i++) {
        write_measure(&writing, i);
    }
    xml_close(writing.xml);
    xml_close(writing.xml);
    free(writing.row);
    return xml_out_finish(writing.xml, out);
}
