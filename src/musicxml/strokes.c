/* What each note is on the drum: one stroke, a hold, a buzz, or a roll of so many strokes; and
 * which hand plays each of them. */
#include <stdlib.h>
#include <string.h>

#include "read.h"

enum {
    DOUBLE_FROM = 4, /* two strokes on a note are a double from 16ths on ... */
    ROLL_FROM = 5    /* ... more of them are doubles from 32nds on (common practice, no
                        source); slower ones are single strokes in shorthand */
};

static bool is_rolled(const struct mx_note *note) {
    return note->tremolo != MX_NO_TREMOLO;
}

static uint8_t hand_of(char letter) {
    return letter == 'R' || letter == 'r' ? EH_HAND_RIGHT : EH_HAND_LEFT;
}

static const char *letters_of(const struct mx_reading *reading, const struct mx_note *note) {
    return reading->rows.letters + note->letters;
}

/* Holds -------------------------------------------------------------------------------------- */

/* The hand that plays all strokes of a roll, where it says so with a letter for each; else
 * EH_HAND_UNSAID. */
static uint8_t one_hand(const struct mx_reading *reading, const struct mx_note *note) {
    if (note->letter_count < 1 || (note->letter_count != note->strokes && note->strokes != 2)) {
        return EH_HAND_UNSAID;
    }
    const char *letters = letters_of(reading, note);
    for (int i = 1; i < note->letter_count; i++) {
        if (hand_of(letters[i]) != hand_of(letters[0])) {
            return EH_HAND_UNSAID;
        }
    }
    return hand_of(letters[0]);
}

static bool letters_agree(const struct mx_reading *reading, const struct mx_note *note,
                          uint8_t hand) {
    for (int i = 0; i < note->letter_count; i++) {
        if (hand_of(letters_of(reading, note)[i]) != hand) {
            return false;
        }
    }
    return true;
}

/* A tie prolongs a stroke, a buzz that goes on as a buzz, and a roll of one hand that goes on as a
 * roll. The note that ends a roll bears no tremolo sign: it is struck (common practice, no
 * source). Any other roll that goes on is more strokes, not a hold. */
static bool is_hold(const struct mx_reading *reading, const struct mx_note *note,
                    const struct mx_note *before) {
    if (!note->tie_in || before == NULL || before->rest) {
        return false;
    }
    if (before->tremolo == MX_BUZZ) {
        return note->tremolo == MX_BUZZ;
    }
    if (before->tremolo == MX_SINGLE) {
        const uint8_t hand = one_hand(reading, before);
        return note->tremolo == MX_SINGLE && hand != EH_HAND_UNSAID &&
               letters_agree(reading, note, hand);
    }
    return note->tremolo == MX_NO_TREMOLO && before->tremolo == MX_NO_TREMOLO;
}

/* Rolls -------------------------------------------------------------------------------------- */

static enum eh_status fail_roll(struct mx_reading *reading, const struct mx_note *note,
                                const char *what) {
    return mx_fail(reading, EH_BAD_SYNTAX, note->bar, note->line,
                   "expected %s under tremolo marks, found another", what);
}

static enum eh_status count_strokes(struct mx_reading *reading, struct mx_note *note) {
    if (note->value == MX_NO_VALUE) {
        return fail_roll(reading, note, "a note whose type and dots make its duration");
    }
    note->stroke_value = (uint8_t)eh_written_stroke_value(note->value, note->marks);
    const eh_ticks whole = eh_written_length(0, 0);
    const eh_ticks plain = eh_written_length(note->value, note->dots) << note->stroke_value;
    if (plain == 0 || plain % whole != 0) {
        return fail_roll(reading, note, "a note that the strokes divide evenly");
    }
    note->strokes = (uint16_t)(plain / whole);
    return EH_OK;
}

/* How many strokes a motion of the hand makes: as many letters as strokes, or as motions, say it;
 * else the custom does. */
static uint8_t strokes_a_motion(const struct mx_note *note) {
    const int strokes = note->strokes;
    if (strokes % 2 != 0 || note->singles || note->letter_count == strokes) {
        return strokes == 2 && note->letter_count == 1 && !note->singles ? 2 : 1;
    }
    if (strokes == 2) {
        return note->letter_count == 1 || note->stroke_value >= DOUBLE_FROM ? 2 : 1;
    }
    if (note->letter_count > 1 && note->letter_count == strokes / 2) {
        return 2;
    }
    return note->stroke_value >= ROLL_FROM ? 2 : 1;
}

/* The two notes of a tremolo between notes become one: their strokes alternate. */
static enum eh_status join_pair(struct mx_reading *reading, size_t index, size_t end) {
    struct mx_note *first = &reading->rows.notes[index];
    struct mx_note *second = NULL;
    for (size_t i = index + 1; i < end && second == NULL; i++) {
        second = reading->rows.notes[i].voice == first->voice ? &reading->rows.notes[i] : NULL;
    }
    if (second == NULL || second->tremolo != MX_STOP || second->rest) {
        return fail_roll(reading, first, "a second note with type \"stop\"");
    }
    const eh_ticks length = first->length + second->length;
    if (first->actual % 2 == 0) {
        first->actual = (uint16_t)(first->actual / 2);
    }
    eh_ticks plain = length * first->actual / first->normal;
    first->value = 0;
    while (first->value <= EH_WRITTEN_VALUE_LAST &&
           eh_written_length(first->value, first->dots) != plain) {
        first->value++;
    }
    if (first->value > EH_WRITTEN_VALUE_LAST) {
        return fail_roll(reading, first, "two notes that make one note value together");
    }
    first->length = length;
    first->singles = true;
    first->stops = (uint8_t)(first->stops + second->stops);
    first->tie_out = second->tie_out;
    second->skip = true;
    return EH_OK;
}

static enum eh_status find_roll(struct mx_reading *reading, struct mx_note *note) {
    const enum eh_status status = count_strokes(reading, note);
    if (status != EH_OK) {
        return status;
    }
    note->per_motion = strokes_a_motion(note);
    return EH_OK;
}

/* One stroke or one press ---------------------------------------------------------------------- */

static void find_single(struct mx_reading *reading, struct mx_note *note) {
    note->strokes = 1;
    note->per_motion = 1;
    note->stroke_value = note->value;
    const bool long_buzz = note->tremolo == MX_BUZZ && note->length >= EH_TICKS_PER_QUARTER;
    if (long_buzz && note->letter_count <= 1 + note->grace_count) {
        mx_remark(reading, note->bar, note->line,
                  "a closed roll as long as its note is read as one press: how the hands move "
                  "is not written");
    }
}

/* A buzz with several letters is as many presses, where its value can be cut so. */
static void cut_buzz(struct mx_note *note) {
    const int presses = note->letter_count;
    int value = note->value;
    int cut = 1;
    while (cut < presses && value < EH_WRITTEN_VALUE_LAST) {
        cut *= 2;
        value++;
    }
    if (note->value != MX_NO_VALUE && note->dots == 0 && presses > 1 && cut == presses) {
        note->strokes = (uint16_t)presses;
        note->stroke_value = (uint8_t)value;
    }
}

static enum eh_status find_note(struct mx_reading *reading, size_t index, size_t end) {
    struct mx_note *note = &reading->rows.notes[index];
    if (note->tremolo == MX_STOP) {
        return fail_roll(reading, note, "a first note with type \"start\"");
    }
    if (note->tremolo == MX_START) {
        const enum eh_status status = join_pair(reading, index, end);
        if (status != EH_OK) {
            return status;
        }
        return find_roll(reading, note);
    }
    if (note->tremolo == MX_SINGLE && note->marks > 0) {
        return find_roll(reading, note);
    }
    find_single(reading, note);
    if (note->tremolo == MX_BUZZ) {
        cut_buzz(note);
    }
    return EH_OK;
}

/* Hands ---------------------------------------------------------------------------------------- */

/* Letters that stand at the note itself for its grace notes: "lR", "llR". */
static void split_graces(const struct mx_reading *reading, struct mx_note *note) {
    if (note->grace_count == 0 || note->letter_count != note->grace_count + 1 ||
        note->strokes != 1) {
        return;
    }
    const char *letters = letters_of(reading, note);
    for (int k = 0; k < note->grace_count; k++) {
        if (note->grace_hands[k] == EH_HAND_UNSAID) {
            note->grace_hands[k] = hand_of(letters[k]);
        }
    }
    note->letters += note->grace_count;
    note->letter_count = 1;
}

/* The second letter of a tremolo between two notes stands at the second note. */
static uint8_t letter_for(const struct mx_reading *reading, const struct mx_note *note, int motion,
                          int motions) {
    const char *letters = letters_of(reading, note);
    if (note->letter_count == note->strokes && note->per_motion == 1) {
        return hand_of(letters[motion]);
    }
    if (note->letter_count == motions) {
        return hand_of(letters[motion]);
    }
    return motion == 0 && note->letter_count > 0 ? hand_of(letters[0]) : EH_HAND_UNSAID;
}

static enum eh_status add_motions(struct mx_reading *reading, struct mx_note *note) {
    struct mx_rows *rows = &reading->rows;
    const int motions = note->strokes / note->per_motion;
    split_graces(reading, note);
    if (note->letter_count > 1 && note->letter_count != note->strokes &&
        note->letter_count != motions) {
        mx_remark(reading, note->bar, note->line,
                  "sticking of %d letters at a note of %d strokes: only the first is read",
                  note->letter_count, note->strokes);
    }
    note->motion = rows->hand_count;
    for (int k = 0; k < motions; k++) {
        if (!mx_grow(&rows->hands, &rows->hand_capacity, rows->hand_count, 1)) {
            return mx_no_memory(reading);
        }
        rows->hands[rows->hand_count++] = letter_for(reading, note, k, motions);
    }
    return EH_OK;
}

static void fill_graces(const struct mx_reading *reading, struct mx_note *note) {
    const enum eh_hand main = (enum eh_hand)reading->rows.hands[note->motion];
    for (int k = 0; k < note->grace_count; k++) {
        if (note->grace_hands[k] == EH_HAND_UNSAID) {
            note->grace_hands[k] = (uint8_t)eh_hand_of_grace(main, note->grace_count, k);
        }
    }
}

/* The whole --------------------------------------------------------------------------------------
 */

static void settle_hold(struct mx_reading *reading, struct mx_note *note) {
    note->hold = true;
    note->strokes = 0;
    note->per_motion = 1;
    if (note->grace_count > 0 || note->accent > 0) {
        mx_remark(reading, note->bar, note->line,
                  "grace notes and accents at a tied note are not read: it is not struck");
    }
}

static enum eh_status find_in_bar(struct mx_reading *reading, const struct mx_bar *bar,
                                  const struct mx_note **before) {
    const size_t end = bar->first_note + bar->note_count;
    for (size_t i = bar->first_note; i < end; i++) {
        struct mx_note *note = &reading->rows.notes[i];
        if (note->voice != bar->voice || note->skip) {
            continue;
        }
        if (!note->rest && is_hold(reading, note, *before)) {
            /* What it prolongs stays what a further hold is measured by. */
            settle_hold(reading, note);
            continue;
        }
        enum eh_status status = note->rest ? EH_OK : find_note(reading, i, end);
        if (status == EH_OK && !note->rest) {
            status = add_motions(reading, note);
        }
        if (status != EH_OK) {
            return status;
        }
        if (note->tie_in && !note->rest && !is_rolled(note) &&
            (*before == NULL || (*before)->rest)) {
            mx_remark(reading, note->bar, note->line,
                      "a tie that begins at no note: the note is read as struck");
        }
        *before = note;
    }
    return EH_OK;
}

enum eh_status mx_find_strokes(struct mx_reading *reading) {
    const struct mx_note *before = NULL;
    const struct mx_note *before_endings = NULL;
    struct mx_rows *rows = &reading->rows;
    for (size_t i = 0; i < rows->bar_count; i++) {
        if ((rows->bars[i].endings & 1u) != 0) {
            before_endings = before;
        } else if (rows->bars[i].endings != 0) {
            before = before_endings; /* that is what sounds when a further ending begins */
        }
        const enum eh_status status = find_in_bar(reading, &rows->bars[i], &before);
        if (status != EH_OK) {
            return status;
        }
    }
    eh_hands_fill(rows->hands, rows->hand_count);
    for (size_t i = 0; i < rows->note_count; i++) {
        struct mx_note *note = &rows->notes[i];
        if (note->strokes > 0) {
            fill_graces(reading, note);
        }
    }
    return EH_OK;
}
