/* One note element. */
#include "read.h"

#include <stdlib.h>
#include <string.h>

enum { FIXED = 1024 };

/* Which voice, as an index; MX_VOICES: one too many. */
static int voice_of(struct mx_reading *reading, const struct xml_element *note) {
    char text[XML_TEXT];
    xml_text(xml_child(note, "voice"), text);
    if (text[0] == '\0') {
        memcpy(text, "1", 2);
    }
    text[MX_NAME - 1] = '\0';
    for (int i = 0; i < reading->voice_count; i++) {
        if (strcmp(reading->voices[i], text) == 0) {
            return i;
        }
    }
    if (reading->voice_count == MX_VOICES) {
        return MX_VOICES;
    }
    memcpy(reading->voices[reading->voice_count], text, strlen(text) + 1);
    return reading->voice_count++;
}

static uint8_t value_of(const char *type) {
    static const char *const names[] = {"whole", "half", "quarter", "eighth",
                                        "16th",  "32nd", "64th",    "128th"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if (strcmp(type, names[i]) == 0) {
            return (uint8_t)i;
        }
    }
    return MX_NO_VALUE;
}

static enum eh_status read_modification(struct mx_cursor *cursor, const struct xml_element *note,
                                        struct mx_note *out) {
    const struct xml_element *modification = xml_child(note, "time-modification");
    char text[XML_TEXT];
    int actual = 1;
    int normal = 1;
    out->actual = 1;
    out->normal = 1;
    if (modification == NULL) {
        return EH_OK;
    }
    if (!mx_read_whole(xml_text(xml_child(modification, "actual-notes"), text), 1, 60000,
                       &actual) ||
        !mx_read_whole(xml_text(xml_child(modification, "normal-notes"), text), 1, 60000,
                       &normal)) {
        return mx_fail(cursor->reading, EH_BAD_SYNTAX, cursor->bar, xml_line(modification),
                       "expected actual-notes and normal-notes in the time-modification, found "
                       "\"%.40s\"",
                       text);
    }
    out->actual = (uint16_t)actual;
    out->normal = (uint16_t)normal;
    return EH_OK;
}

static void read_value(const struct xml_element *note, struct mx_note *out) {
    char text[XML_TEXT];
    out->value = value_of(xml_text(xml_child(note, "type"), text));
    int dots = 0;
    for (const struct xml_element *dot = xml_child(note, "dot"); dot != NULL;
         dot = xml_again(dot)) {
        dots++;
    }
    if (dots > EH_WRITTEN_DOTS_MAX) {
        out->value = MX_NO_VALUE;
    }
    out->dots = (uint8_t)(dots > EH_WRITTEN_DOTS_MAX ? 0 : dots);
}

/* The length by its value; 0: there is none. A tremolo between two notes is written twice as long
 * as each of them is. */
static eh_ticks nominal_length(const struct mx_note *note) {
    if (note->value == MX_NO_VALUE) {
        return 0;
    }
    const eh_ticks plain = eh_written_length(note->value, note->dots) * note->normal;
    return plain % note->actual == 0 ? plain / note->actual : 0;
}

/* Exporters round: the value is right where the duration is within one division of it. */
static void settle_length(const struct mx_cursor *cursor, int64_t duration, struct mx_note *note) {
    const eh_ticks nominal = nominal_length(note);
    const int64_t division = EH_TICKS_PER_QUARTER * FIXED * INT64_C(1000000) / cursor->divisions;
    const int64_t off = llabs(nominal * FIXED - duration);
    if (nominal > 0 && off <= division && off < duration) {
        note->length = nominal;
        return;
    }
    note->length = (duration + FIXED / 2) / FIXED;
    if (note->tremolo != MX_START && note->tremolo != MX_STOP) {
        note->value = MX_NO_VALUE;
    }
}

/* A note that begins where the one before it in its voice ended stands exactly there. */
static eh_ticks place_of(const struct mx_cursor *cursor, int voice) {
    const int64_t division = EH_TICKS_PER_QUARTER * FIXED * INT64_C(1000000) / cursor->divisions;
    return llabs(cursor->raw - cursor->raw_end[voice]) < division ? cursor->end[voice] : cursor->at;
}

static uint32_t mix(uint32_t hash, const char *text) { /* FNV-1a (Fowler, Noll, Vo) */
    for (const char *at = text; *at != '\0'; at++) {
        hash = (hash ^ (unsigned char)*at) * UINT32_C(16777619);
    }
    return (hash ^ 0xFFU) * UINT32_C(16777619);
}

/* Which drum: its instrument, and the line that it is written on. */
static uint32_t instrument_of(const struct xml_element *note) {
    static const char *const places[] = {"display-step", "display-octave", "step", "octave"};
    char text[XML_TEXT];
    uint32_t hash = UINT32_C(2166136261);
    hash = mix(hash, xml_value(xml_child(note, "instrument"), "id", text));
    const struct xml_element *unpitched = xml_child(note, "unpitched");
    const struct xml_element *pitch = xml_child(note, "pitch");
    for (int i = 0; i < 4; i++) {
        hash = mix(hash, xml_text(xml_child(i < 2 ? unpitched : pitch, places[i]), text));
    }
    return hash;
}

static bool is_rest(const struct xml_element *note) {
    return xml_child(note, "rest") != NULL || xml_child(note, "cue") != NULL;
}

static void remark_oddities(struct mx_cursor *cursor, const struct xml_element *note) {
    char text[XML_TEXT];
    xml_text(xml_child(note, "notehead"), text);
    if (text[0] != '\0' && strcmp(text, "normal") != 0) {
        mx_remark(cursor->reading, cursor->bar, xml_line(note),
                  "a note head \"%.30s\" is read as an ordinary stroke", text);
    }
    if (xml_child(note, "cue") != NULL) {
        mx_remark(cursor->reading, cursor->bar, xml_line(note), "cue notes are read as rests");
    }
}

/* Grace notes ------------------------------------------------------------------------------- */

/* A grace note with marks through its stem is a drag: two strokes. */
static int strokes_of_grace(const struct mx_note *grace) {
    return grace->tremolo == MX_SINGLE && grace->marks > 0 ? 2 : 1;
}

static uint8_t hand_of_letter(char letter) {
    return letter == 'R' || letter == 'r' ? EH_HAND_RIGHT : EH_HAND_LEFT;
}

static enum eh_status read_grace(struct mx_cursor *cursor, const struct xml_element *note) {
    struct mx_note grace = {.bar = cursor->bar, .line = xml_line(note)};
    struct mx_note *pending = &cursor->pending;
    const enum eh_status status = mx_read_notations(cursor, note, &grace);
    if (status != EH_OK) {
        return status;
    }
    if (grace.tremolo == MX_BUZZ) {
        mx_remark(cursor->reading, cursor->bar, grace.line,
                  "a buzzed grace note is read as an ordinary one");
    }
    mx_read_sticking(cursor->reading, note, &grace.letters, &grace.letter_count);
    const int strokes = strokes_of_grace(&grace);
    if (pending->grace_count + strokes > EH_EXERCISE_GRACES_MAX) {
        return mx_fail(cursor->reading, EH_TOO_LARGE, cursor->bar, grace.line,
                       "expected at most %d grace notes before a note, found more",
                       EH_EXERCISE_GRACES_MAX);
    }
    for (int k = 0; k < strokes; k++) {
        uint8_t hand = EH_HAND_UNSAID;
        if (grace.letter_count > 0) {
            const int which = k < grace.letter_count ? k : grace.letter_count - 1;
            hand = hand_of_letter(cursor->reading->rows.letters[grace.letters + (size_t)which]);
        }
        pending->grace_hands[pending->grace_count++] = hand;
    }
    pending->line = grace.line;
    pending->accent = grace.accent > pending->accent ? grace.accent : pending->accent;
    return EH_OK;
}

static void take_graces(struct mx_cursor *cursor, struct mx_note *note) {
    struct mx_note *pending = &cursor->pending;
    if (pending->grace_count == 0) {
        return;
    }
    if (note->rest) {
        mx_remark(cursor->reading, cursor->bar, pending->line,
                  "grace notes before a rest are left out");
    } else {
        note->grace_count = pending->grace_count;
        memcpy(note->grace_hands, pending->grace_hands, sizeof note->grace_hands);
        if (pending->accent > 0) {
            mx_remark(cursor->reading, cursor->bar, pending->line,
                      "an accent on a grace note is not read");
        }
    }
    *pending = (struct mx_note){0};
}

/* Main notes -------------------------------------------------------------------------------- */

/* The other notes of a chord: one stroke on a pad. */
static enum eh_status read_chord(struct mx_cursor *cursor, const struct xml_element *note) {
    mx_remark(cursor->reading, cursor->bar, xml_line(note), "a chord is read as one stroke");
    if (cursor->last_note == SIZE_MAX) {
        return EH_OK;
    }
    struct mx_note also = {.bar = cursor->bar, .line = xml_line(note)};
    const enum eh_status status = mx_read_notations(cursor, note, &also);
    mx_read_sticking(cursor->reading, note, &also.letters, &also.letter_count);
    struct mx_note *main = &cursor->reading->rows.notes[cursor->last_note];
    main->accent = also.accent > main->accent ? also.accent : main->accent;
    if (main->tremolo == MX_NO_TREMOLO) {
        main->tremolo = also.tremolo;
        main->marks = also.marks;
    }
    if (main->letter_count == 0) {
        main->letters = also.letters;
        main->letter_count = also.letter_count;
    }
    return status;
}

static enum eh_status add_note(struct mx_cursor *cursor, const struct mx_note *note) {
    struct mx_rows *rows = &cursor->reading->rows;
    if (rows->note_count == EH_EXERCISE_STROKES_MAX) {
        return mx_fail(cursor->reading, EH_TOO_LARGE, cursor->bar, note->line,
                       "expected at most %d notes, found more", EH_EXERCISE_STROKES_MAX);
    }
    if (!mx_grow(&rows->notes, &rows->note_capacity, rows->note_count, sizeof *rows->notes)) {
        return mx_no_memory(cursor->reading);
    }
    cursor->last_note = rows->note_count;
    rows->notes[rows->note_count++] = *note;
    return EH_OK;
}

static enum eh_status place_note(struct mx_cursor *cursor, const struct xml_element *note,
                                 struct mx_note *out, int64_t duration) {
    const int voice = voice_of(cursor->reading, note);
    if (voice == MX_VOICES) {
        return mx_fail(cursor->reading, EH_TOO_LARGE, cursor->bar, out->line,
                       "expected at most %d voices, found more", MX_VOICES);
    }
    out->voice = (uint8_t)voice;
    settle_length(cursor, duration, out);
    out->at = place_of(cursor, voice);
    mx_advance(cursor, duration);
    cursor->raw_end[voice] = cursor->raw;
    cursor->end[voice] = out->at + out->length;
    cursor->at = out->at + out->length;
    struct mx_bar *bar = &cursor->reading->rows.bars[cursor->bar];
    if (!out->whole_bar) {
        bar->extent = cursor->at > bar->extent ? cursor->at : bar->extent;
    }
    return add_note(cursor, out);
}

static enum eh_status read_main(struct mx_cursor *cursor, const struct xml_element *note) {
    struct mx_note out = {.bar = cursor->bar, .line = xml_line(note), .rest = is_rest(note)};
    const int64_t duration = mx_duration(cursor, note);
    if (duration <= 0) {
        return mx_fail(cursor->reading, EH_BAD_SYNTAX, cursor->bar, out.line,
                       "expected a note with a duration of up to 64 whole notes, found none");
    }
    enum eh_status status = read_modification(cursor, note, &out);
    if (status == EH_OK) {
        read_value(note, &out);
        status = mx_read_notations(cursor, note, &out);
    }
    if (status != EH_OK) {
        return status;
    }
    out.whole_bar = out.rest && xml_has(xml_child(note, "rest"), "measure", "yes");
    if (!out.rest) {
        mx_read_sticking(cursor->reading, note, &out.letters, &out.letter_count);
    }
    out.instrument = instrument_of(note);
    take_graces(cursor, &out);
    return place_note(cursor, note, &out, duration);
}

enum eh_status mx_read_note(struct mx_cursor *cursor, const struct xml_element *note) {
    remark_oddities(cursor, note);
    const bool grace = xml_child(note, "grace") != NULL;
    if (xml_child(note, "chord") != NULL) {
        return cursor->chord_is_grace ? EH_OK : read_chord(cursor, note);
    }
    cursor->chord_is_grace = grace;
    return grace ? read_grace(cursor, note) : read_main(cursor, note);
}
