/* One note: graces, stroke, length, tie, tuplet, beams, tremolo, accent, sticking. */
#include <string.h>

#include "write.h"

static const char *const value_names[] = {"whole", "half", "quarter", "eighth",
                                          "16th",  "32nd", "64th",    "128th"};

/* The third space, where a snare drum is written on five lines (common practice, no source). */
static void write_unpitched(struct xml_out *xml) {
    xml_open(xml, "unpitched");
    xml_leaf(xml, "display-step", "C");
    xml_leaf(xml, "display-octave", "5");
    xml_close(xml);
}

/* Sticking goes into a lyric line: bound to the note, and every editor shows it. */
static void write_sticking(struct xml_out *xml, const char *letters) {
    xml_open(xml, "lyric");
    xml_attribute(xml, "number", "1");
    xml_leaf(xml, "syllabic", "single");
    xml_leaf(xml, "text", letters);
    xml_close(xml);
}

/* The slash says that the time comes from the note before (MusicXML 4.0, grace: the acciaccatura);
 * without it engravers play the grace note on the beat and its main note late. Drags are often
 * drawn without one, and are still played before the beat. */
static void write_grace(struct xml_out *xml, const struct eh_written_note *note, int k) {
    xml_open(xml, "note");
    xml_open(xml, "grace");
    xml_attribute(xml, "slash", "yes");
    xml_close(xml);
    write_unpitched(xml);
    xml_leaf(xml, "voice", "1");
    xml_leaf(xml, "type", note->grace_count == 1 ? "eighth" : "16th");
    xml_leaf(xml, "stem", "up");
    if (note->grace_count > 1) {
        const char *beam = k == 0 ? "begin" : k + 1 == note->grace_count ? "end" : "continue";
        for (int level = 1; level <= 2; level++) {
            xml_open(xml, "beam");
            xml_attribute_number(xml, "number", level);
            xml_words(xml, beam);
            xml_close(xml);
        }
    }
    write_sticking(xml, note->grace_hands >> k & 1 ? "r" : "l");
    xml_close(xml);
}

static void write_ties(struct xml_out *xml, const char *name, const struct write_item *item) {
    static const char *const types[] = {"stop", "start"};
    const bool wanted[] = {item->tied_from, item->tied_to};
    for (int i = 0; i < 2; i++) {
        if (wanted[i]) {
            xml_open(xml, name);
            xml_attribute(xml, "type", types[i]);
            xml_close(xml);
        }
    }
}

static void write_tuplet_part(struct xml_out *xml, const char *name, int number) {
    xml_open(xml, name);
    xml_leaf_number(xml, "tuplet-number", number);
    xml_close(xml);
}

static void write_tuplets(struct xml_out *xml, const struct write_item *item) {
    for (int k = 0; k < item->starts; k++) {
        xml_open(xml, "tuplet");
        xml_attribute(xml, "type", "start");
        xml_attribute_number(xml, "number", item->depth - item->starts + k + 1);
        write_tuplet_part(xml, "tuplet-actual", item->start_actual[k]);
        write_tuplet_part(xml, "tuplet-normal", item->start_normal[k]);
        xml_close(xml);
    }
    for (int k = 0; k < item->stops; k++) {
        xml_open(xml, "tuplet");
        xml_attribute(xml, "type", "stop");
        xml_attribute_number(xml, "number", item->depth - k);
        xml_close(xml);
    }
}

enum { TREMOLO_MARKS_MAX = 8 /* MusicXML 4.0, type tremolo-marks */ };

/* A held roll bears as many marks as give the strokes of the note that it prolongs. */
static int marks_of(const struct write_item *item) {
    const struct eh_written_item *source = &item->source;
    if (item->item.kind == EH_WRITTEN_NOTE) {
        return source->note.slashes;
    }
    const int wanted = eh_written_stroke_value(source->value, source->note.slashes);
    int marks = 0;
    while (marks < TREMOLO_MARKS_MAX && eh_written_stroke_value(item->item.value, marks) < wanted) {
        marks++;
    }
    return marks;
}

static bool is_rolled(const struct write_item *item) {
    return item->item.kind != EH_WRITTEN_REST &&
           (item->source.note.buzz || item->source.note.slashes > 0);
}

static void write_tremolo(struct xml_out *xml, const struct write_item *item) {
    if (!is_rolled(item)) {
        return;
    }
    xml_open(xml, "ornaments");
    xml_open(xml, "tremolo");
    xml_attribute(xml, "type", item->source.note.buzz ? "unmeasured" : "single");
    char digit[2] = {(char)('0' + (item->source.note.buzz ? 0 : marks_of(item))), '\0'};
    xml_words(xml, digit);
    xml_close(xml);
    xml_close(xml);
}

static void write_accent(struct xml_out *xml, const struct write_item *item) {
    if (item->item.kind != EH_WRITTEN_NOTE || item->item.note.accent == 0) {
        return;
    }
    xml_open(xml, "articulations");
    if (item->item.note.accent == 1) {
        xml_leaf(xml, "accent", NULL);
    } else {
        xml_open(xml, "strong-accent");
        xml_attribute(xml, "type", "up");
        xml_close(xml);
    }
    xml_close(xml);
}

static bool has_notations(const struct write_item *item) {
    return item->tied_from || item->tied_to || item->starts > 0 || item->stops > 0 ||
           is_rolled(item) || (item->item.kind == EH_WRITTEN_NOTE && item->item.note.accent > 0);
}

static void write_notations(struct xml_out *xml, const struct write_item *item) {
    if (has_notations(item)) {
        xml_open(xml, "notations");
        write_ties(xml, "tied", item);
        write_tuplets(xml, item);
        write_tremolo(xml, item);
        write_accent(xml, item);
        xml_close(xml);
    }
}

static void write_value(struct xml_out *xml, const struct write_item *item) {
    xml_leaf(xml, "type", value_names[item->item.value]);
    for (int k = 0; k < item->item.dots; k++) {
        xml_leaf(xml, "dot", NULL);
    }
    if (item->depth > 0) {
        xml_open(xml, "time-modification");
        xml_leaf_number(xml, "actual-notes", item->actual);
        xml_leaf_number(xml, "normal-notes", item->normal);
        xml_close(xml);
    }
}

static const char *beam_word(char beam) {
    switch (beam) {
    case 'b':
        return "begin";
    case 'c':
        return "continue";
    case 'e':
        return "end";
    case 'f':
        return "forward hook";
    default:
        return "backward hook";
    }
}

static void write_beam_levels(struct xml_out *xml, const struct write_item *item) {
    for (int level = 0; level < item->beams; level++) {
        if (item->beam[level] != '\0') {
            xml_open(xml, "beam");
            xml_attribute_number(xml, "number", level + 1);
            xml_words(xml, beam_word(item->beam[level]));
            xml_close(xml);
        }
    }
}

/* "R"; for a roll a letter for each of its strokes, so that nobody has to guess where hands
 * change. */
static void write_hands(struct xml_out *xml, const struct write_item *item) {
    enum { STROKES_MAX = 1024 };
    const struct eh_written_item *source = &item->source;
    const char *hand = eh_hand_letter((enum eh_hand)source->note.hand);
    if (source->note.slashes == 0) {
        if (item->item.kind == EH_WRITTEN_NOTE) {
            write_sticking(xml, hand);
        }
        return;
    }
    char letters[STROKES_MAX + 1];
    const eh_ticks strokes = source->spacing > 0 ? item->item.length / source->spacing : 1;
    const size_t count = strokes < STROKES_MAX ? (size_t)strokes : STROKES_MAX;
    memset(letters, hand[0], count);
    letters[count] = '\0';
    write_sticking(xml, letters);
}

void write_note(struct xml_out *xml, const struct write_item *item, eh_ticks division) {
    const bool rest = item->item.kind == EH_WRITTEN_REST;
    for (int k = 0; item->item.kind == EH_WRITTEN_NOTE && k < item->item.note.grace_count; k++) {
        write_grace(xml, &item->item.note, k);
    }
    xml_open(xml, "note");
    if (rest) {
        xml_leaf(xml, "rest", NULL);
    } else {
        write_unpitched(xml);
    }
    xml_leaf_number(xml, "duration", item->item.length / division);
    write_ties(xml, "tie", item);
    xml_leaf(xml, "voice", "1");
    write_value(xml, item);
    if (!rest) {
        xml_leaf(xml, "stem", "up");
        write_beam_levels(xml, item);
    }
    write_notations(xml, item);
    if (!rest) {
        write_hands(xml, item);
    }
    xml_close(xml);
}
