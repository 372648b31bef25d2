/* Lengths as note values: a note whose length is none becomes a note and holds, a gap becomes
 * rests, a roll in which the hands change becomes doubles and single strokes. */
#include "read.h"

#include <string.h>

enum {
    CLOSE = 64
}; /* ticks: less than a rounded duration can be off in a measure, and less than
      any note */

#define WHOLE (4 * EH_TICKS_PER_QUARTER)

static enum eh_status push(struct mx_reading *reading, const struct mx_piece *piece) {
    struct mx_rows *rows = &reading->rows;
    if (!mx_grow(&rows->raw, &rows->raw_capacity, rows->raw_count, sizeof *rows->raw)) {
        return mx_no_memory(reading);
    }
    rows->raw[rows->raw_count++] = *piece;
    return EH_OK;
}

/* Cutting a length ----------------------------------------------------------------------------- */

/* The longest value that fits into PLAIN; all of it with dots where that is one note. */
static bool next_value(eh_ticks plain, uint8_t *out_value, uint8_t *out_dots) {
    for (int dots = 0; dots <= EH_WRITTEN_DOTS_MAX; dots++) {
        for (int value = 0; value <= EH_WRITTEN_VALUE_LAST; value++) {
            if (eh_written_length(value, dots) == plain) {
                *out_value = (uint8_t)value;
                *out_dots = (uint8_t)dots;
                return true;
            }
        }
    }
    *out_dots = 0;
    for (int value = 0; value <= EH_WRITTEN_VALUE_LAST; value++) {
        if (eh_written_length(value, 0) < plain) {
            *out_value = (uint8_t)value;
            return true;
        }
    }
    return false;
}

static bool can_be_cut(eh_ticks length, int actual, int normal) {
    return length * actual % normal == 0 &&
           length * actual / normal % (WHOLE >> EH_WRITTEN_VALUE_LAST) == 0;
}

/* MODEL says everything but the values; further pieces of a note are holds. */
static enum eh_status cut(struct mx_reading *reading, const struct mx_piece *model) {
    struct mx_piece piece = *model;
    eh_ticks plain = model->length * model->cum_actual / model->cum_normal;
    while (plain > 0) {
        if (!next_value(plain, &piece.value, &piece.dots)) {
            break;
        }
        const eh_ticks part = eh_written_length(piece.value, piece.dots);
        piece.length = part * model->cum_normal / model->cum_actual;
        plain -= part;
        piece.stops = plain == 0 ? model->stops : 0;
        const enum eh_status status = push(reading, &piece);
        if (status != EH_OK) {
            return status;
        }
        piece.at += piece.length;
        piece.starts = 0;
        piece.kind = piece.kind == MX_PLAY ? MX_HOLD : piece.kind;
    }
    return EH_OK;
}

/* Notes ---------------------------------------------------------------------------------------- */

static struct mx_piece model_of(const struct mx_note *note, size_t index) {
    return (struct mx_piece){.kind = MX_REST,
                             .cum_actual = note->actual,
                             .cum_normal = note->normal,
                             .starts = note->starts,
                             .stops = note->stops,
                             .line = note->line,
                             .at = note->at,
                             .length = note->length,
                             .source = index};
}

static enum eh_status push_timed(struct mx_reading *reading, const struct mx_note *note,
                                 const struct mx_piece *model) {
    if (note->value != MX_NO_VALUE) {
        struct mx_piece piece = *model;
        piece.value = note->value;
        piece.dots = note->dots;
        return push(reading, &piece);
    }
    if (!can_be_cut(note->length, note->actual, note->normal)) {
        return mx_fail(reading, EH_BAD_SYNTAX, note->bar, note->line,
                       "expected a note or rest of whole, half ... 128th values (with "
                       "time-modification in a tuplet), found a length of %lld/%lld of a quarter",
                       mx_quarters(note->length).over, mx_quarters(note->length).under);
    }
    return cut(reading, model);
}

static struct eh_written_note written_of(const struct mx_reading *reading,
                                         const struct mx_note *note) {
    struct eh_written_note out = {.hand = reading->rows.hands[note->motion],
                                  .accent = note->accent,
                                  .grace_count = note->grace_count,
                                  .buzz = note->tremolo == MX_BUZZ};
    for (int k = 0; k < note->grace_count; k++) {
        if (note->grace_hands[k] == EH_HAND_RIGHT) {
            out.grace_hands = (uint8_t)(out.grace_hands | 1u << k);
        }
    }
    return out;
}

static uint8_t hand_of_stroke(const struct mx_reading *reading, const struct mx_note *note, int k) {
    return reading->rows.hands[note->motion + (size_t)(k / note->per_motion)];
}

static bool is_of_one_hand(const struct mx_reading *reading, const struct mx_note *note) {
    for (int k = 1; k < note->strokes; k++) {
        if (hand_of_stroke(reading, note, k) != hand_of_stroke(reading, note, 0)) {
            return false;
        }
    }
    return true;
}

/* Two strokes of a hand are a note with one slash, as they would be written. */
static enum eh_status push_strokes(struct mx_reading *reading, const struct mx_note *note,
                                   const struct mx_piece *model) {
    struct mx_piece piece = *model;
    const bool buzz = model->note.buzz;
    if (note->stroke_value > EH_WRITTEN_VALUE_LAST) {
        return mx_fail(reading, EH_TOO_LARGE, note->bar, note->line,
                       "expected strokes of a 128th or longer in a roll whose hands change, found "
                       "shorter ones");
    }
    for (int k = 0; k < note->strokes;) {
        const uint8_t hand = hand_of_stroke(reading, note, k);
        const bool pair =
            !buzz && k + 1 < note->strokes && hand_of_stroke(reading, note, k + 1) == hand;
        const int strokes = pair ? 2 : 1;
        piece.note.hand = hand;
        piece.note.slashes = pair;
        piece.value = (uint8_t)(note->stroke_value - pair);
        piece.length = eh_written_length(piece.value, 0) * note->normal / note->actual;
        k += strokes;
        piece.stops = k == note->strokes ? model->stops : 0;
        const enum eh_status status = push(reading, &piece);
        if (status != EH_OK) {
            return status;
        }
        piece.at += piece.length;
        piece.starts = 0;
        piece.note = (struct eh_written_note){.buzz = buzz};
    }
    return EH_OK;
}

static enum eh_status push_note(struct mx_reading *reading, size_t index) {
    const struct mx_note *note = &reading->rows.notes[index];
    struct mx_piece model = model_of(note, index);
    if (note->rest || note->hold) {
        model.kind = note->rest ? MX_REST : MX_HOLD;
        return push_timed(reading, note, &model);
    }
    model.kind = MX_PLAY;
    model.note = written_of(reading, note);
    const bool one_sign =
        is_of_one_hand(reading, note) && !model.note.buzz && note->marks <= EH_WRITTEN_SLASHES_MAX;
    if (note->strokes > 1 && !one_sign) {
        return push_strokes(reading, note, &model);
    }
    model.note.slashes = note->strokes > 1 ? note->marks : 0;
    return push_timed(reading, note, &model);
}

/* Gaps and bars -----------------------------------------------------------------------------------
 */

/* Rests from AT up to UNTIL, plain ones where that is possible, else in the tuplet of a
 * neighbour. */
static enum eh_status fill_gap(struct mx_reading *reading, int bar, eh_ticks at, eh_ticks until,
                               const struct mx_note *next) {
    struct mx_rows *rows = &reading->rows;
    struct mx_piece model = {
        .kind = MX_REST, .cum_actual = 1, .cum_normal = 1, .at = at, .length = until - at};
    model.line = next != NULL ? next->line : rows->bars[bar].line;
    if (model.length <= 0) {
        return EH_OK;
    }
    const struct mx_piece *before = rows->raw_count > 0 ? &rows->raw[rows->raw_count - 1] : NULL;
    if (!can_be_cut(model.length, 1, 1) && next != NULL &&
        can_be_cut(model.length, next->actual, next->normal)) {
        model.cum_actual = next->actual;
        model.cum_normal = next->normal;
    } else if (!can_be_cut(model.length, 1, 1) && before != NULL) {
        model.cum_actual = before->cum_actual;
        model.cum_normal = before->cum_normal;
    }
    if (!can_be_cut(model.length, model.cum_actual, model.cum_normal)) {
        return mx_fail(reading, EH_BAD_SYNTAX, bar, model.line,
                       "expected notes and rests one after the other, found a gap of %lld/%lld of "
                       "a quarter that no rests fill",
                       mx_quarters(model.length).over, mx_quarters(model.length).under);
    }
    return cut(reading, &model);
}

static enum eh_status push_notes(struct mx_reading *reading, int index, eh_ticks *out_end) {
    const struct mx_bar *bar = &reading->rows.bars[index];
    enum eh_status status = EH_OK;
    *out_end = 0;
    for (size_t i = bar->first_note; status == EH_OK && i < bar->first_note + bar->note_count;
         i++) {
        const struct mx_note *note = &reading->rows.notes[i];
        if (note->voice != bar->voice || note->skip || (note->whole_bar && !bar->implicit)) {
            continue;
        }
        if (note->at < *out_end) {
            return mx_fail(reading, EH_BAD_SYNTAX, index, note->line,
                           "expected a note after the one before it in its voice, found one that "
                           "begins before that has ended");
        }
        status = fill_gap(reading, index, *out_end, note->at, note);
        if (status == EH_OK) {
            status = push_note(reading, i);
        }
        *out_end = note->at + note->length;
    }
    return status;
}

/* How long the measure is, its notes reaching to END. */
static enum eh_status measure_bar(struct mx_reading *reading, int index, eh_ticks end) {
    struct mx_bar *bar = &reading->rows.bars[index];
    const eh_ticks metre = WHOLE / bar->unit * bar->beats;
    if (end > metre) {
        return mx_fail(reading, EH_BAD_SYNTAX, index, bar->line,
                       "expected %d/%d in the measure, found %lld/%lld of a quarter too much",
                       bar->beats, bar->unit, mx_quarters(end - metre).over,
                       mx_quarters(end - metre).under);
    }
    eh_ticks length = bar->extent > end ? bar->extent : end;
    length = length == 0 || length + CLOSE > metre ? metre : length;
    if (length - end < CLOSE) {
        length = end > 0 ? end : length;
    }
    bar->length = length;
    bar->is_short = length < metre;
    if (bar->is_short && !bar->implicit) {
        mx_remark(reading, index, bar->line,
                  "the measure is shorter than its metre: it is read as it is");
    }
    return EH_OK;
}

static void remark_empty(struct mx_reading *reading, int index) {
    const struct mx_bar *bar = &reading->rows.bars[index];
    size_t strokes = 0;
    for (size_t i = bar->first_note; i < bar->first_note + bar->note_count; i++) {
        strokes += !reading->rows.notes[i].rest;
    }
    if (strokes == 0 && bar->drawn_repeat) {
        mx_remark(reading, index, bar->line,
                  "a repeat sign for a measure stands where no notes are: it is read as rests, "
                  "since that sign is only drawn");
    } else if (bar->note_count == 0) {
        mx_remark(reading, index, bar->line, "a measure without notes and rests is read as rests");
    }
}

static enum eh_status cut_bar(struct mx_reading *reading, int index) {
    eh_ticks end = 0;
    reading->rows.raw_count = 0;
    enum eh_status status = push_notes(reading, index, &end);
    if (status == EH_OK) {
        status = measure_bar(reading, index, end);
    }
    if (status == EH_OK) {
        status = fill_gap(reading, index, end, reading->rows.bars[index].length, NULL);
    }
    remark_empty(reading, index);
    return status == EH_OK ? mx_group_pieces(reading, index) : status;
}

enum eh_status mx_cut_pieces(struct mx_reading *reading) {
    bool drawn = false;
    enum eh_status status = EH_OK;
    for (size_t i = 0; status == EH_OK && i < reading->rows.bar_count; i++) {
        /* The sign says once where it begins; the measures after it may be empty as well. */
        drawn =
            reading->rows.bars[i].drawn_repeat || (drawn && reading->rows.bars[i].note_count == 0);
        reading->rows.bars[i].drawn_repeat = drawn;
        status = cut_bar(reading, (int)i);
    }
    return status;
}
