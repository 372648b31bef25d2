/* Sticking that is written, in any of the ways that editors write it: there is no element for it in
 * MusicXML. */
#include <string.h>

#include "read.h"

static bool is_hand(char c) {
    return c == 'R' || c == 'L' || c == 'r' || c == 'l';
}

/* Between letters: "R L", "R-L", "(R)", "R.H.". */
static bool is_between(const char *text, size_t at) {
    return strchr(" .,-_()/|", text[at]) != NULL ||
           (at > 0 && (text[at] == 'H' || text[at] == 'h') && is_hand(text[at - 1])) ||
           (at > 1 && text[at] == 'H' && text[at - 1] == '.' && is_hand(text[at - 2]));
}

static size_t count_letters(const char *text) {
    size_t count = 0;
    for (size_t i = 0; text[i] != '\0'; i++) {
        if (is_hand(text[i])) {
            count++;
        } else if (!is_between(text, i)) {
            return 0;
        }
    }
    return count;
}

static bool keep_letter(struct mx_rows *rows, char letter) {
    if (!mx_grow(&rows->letters, &rows->letter_capacity, rows->letter_count, 1)) {
        return false;
    }
    rows->letters[rows->letter_count++] = letter;
    return true;
}

bool mx_read_letters(struct mx_reading *reading, const char *text, size_t *out_letters,
                     uint16_t *out_count) {
    const size_t count = count_letters(text);
    *out_count = 0;
    if (count == 0 || reading == NULL) {
        return count > 0;
    }
    *out_letters = reading->rows.letter_count;
    for (const char *at = text; *at != '\0'; at++) {
        if (is_hand(*at) && !keep_letter(&reading->rows, *at)) {
            reading->memory_failed = true;
            return true;
        }
    }
    *out_count = (uint16_t)count;
    return true;
}

/* A roll's sticking may be longer than a short text: a letter for each of up to a thousand
 * strokes. */
static bool take(struct mx_reading *reading, const struct xml_element *element, size_t *out_letters,
                 uint16_t *out_count) {
    char text[XML_TEXT];
    enum { LONG_TEXT = 2048 };
    char whole[LONG_TEXT];
    const size_t length = xml_long_text(element, whole, sizeof whole);
    if (length < XML_TEXT - 1 || length >= sizeof whole) {
        return mx_read_letters(reading, xml_text(element, text), out_letters, out_count);
    }
    return mx_read_letters(reading, whole, out_letters, out_count);
}

static bool is_z(const char *text) {
    return strcmp(text, "z") == 0 || strcmp(text, "Z") == 0 || strcmp(text, "buzz") == 0;
}

static bool take_lyric(struct mx_reading *reading, const struct xml_element *note,
                       size_t *out_letters, uint16_t *out_count) {
    bool taken = false;
    for (const struct xml_element *lyric = xml_child(note, "lyric"); lyric != NULL;
         lyric = xml_again(lyric)) {
        char text[XML_TEXT];
        const struct xml_element *syllable = xml_child(lyric, "text");
        xml_text(syllable, text);
        if (!taken && take(reading, syllable, out_letters, out_count)) {
            taken = true;
        } else if (text[0] != '\0' && !is_z(text)) {
            mx_remark(reading, -1, xml_line(lyric), "the text \"%.60s\" under a note is not read",
                      text);
        }
    }
    return taken;
}

void mx_read_sticking(struct mx_reading *reading, const struct xml_element *note,
                      size_t *out_letters, uint16_t *out_count) {
    static const char *const names[] = {"fingering", "other-technical"};
    if (take_lyric(reading, note, out_letters, out_count)) {
        return;
    }
    for (const struct xml_element *notations = xml_child(note, "notations"); notations != NULL;
         notations = xml_again(notations)) {
        for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
            const struct xml_element *at = xml_child(xml_child(notations, "technical"), names[i]);
            for (; at != NULL; at = xml_again(at)) {
                if (take(reading, at, out_letters, out_count)) {
                    return;
                }
            }
        }
    }
}

/* Words -------------------------------------------------------------------------------------- */

static bool is_low(char letter) {
    return letter == 'r' || letter == 'l';
}

/* The letters at *AT that go to NOTE: its grace notes' in lower case, then its own. */
static void give(struct mx_reading *reading, struct mx_note *note, const struct mx_words *words,
                 uint16_t *at) {
    const char *letters = reading->rows.letters + words->letters;
    const int left = words->letter_count - *at;
    int graces = 0;
    while (graces < note->grace_count && graces < left - 1 && is_low(letters[*at + graces])) {
        graces++;
    }
    if (graces == note->grace_count && graces > 0) {
        for (int k = 0; k < graces; k++) {
            note->grace_hands[k] =
                letters[*at + k] == 'r' ? (uint8_t)EH_HAND_RIGHT : (uint8_t)EH_HAND_LEFT;
        }
        *at = (uint16_t)(*at + graces);
    }
    if (note->letter_count == 0) {
        note->letters = words->letters + *at;
        note->letter_count = 1;
    }
    (*at)++;
}

/* A word of several letters at a note that is rolled, and no others behind it, is the roll's. */
static bool is_for_one(const struct mx_rows *rows, const struct mx_words *words, size_t note) {
    return words->letter_count > 1 && rows->notes[note].tremolo != MX_NO_TREMOLO;
}

static void accent(struct mx_reading *reading, const struct mx_words *words) {
    struct mx_rows *rows = &reading->rows;
    const struct mx_bar *bar = &rows->bars[words->bar];
    for (size_t i = bar->first_note; i < bar->first_note + bar->note_count; i++) {
        struct mx_note *note = &rows->notes[i];
        if (note->voice == bar->voice && !note->rest && note->at >= words->at) {
            note->accent = note->accent > 0 ? note->accent : 1;
            return;
        }
    }
}

static void spread(struct mx_reading *reading, const struct mx_words *words) {
    struct mx_rows *rows = &reading->rows;
    const struct mx_bar *bar = &rows->bars[words->bar];
    uint16_t given = 0;
    for (size_t i = bar->first_note; i < rows->note_count && given < words->letter_count; i++) {
        struct mx_note *note = &rows->notes[i];
        const struct mx_bar *its = &rows->bars[note->bar];
        if (note->voice != its->voice || note->rest || note->tie_in ||
            (note->bar == words->bar && note->at < words->at)) {
            continue;
        }
        if (given == 0 && is_for_one(rows, words, i)) {
            note->letters = words->letters;
            note->letter_count = words->letter_count;
            return;
        }
        if (given > 0 && note->letter_count > 0) {
            break; /* it has its own */
        }
        give(reading, note, words, &given);
    }
    if (given < words->letter_count) {
        mx_remark(reading, words->bar, 0, "sticking in words has more letters than notes follow");
    }
}

void mx_spread_words(struct mx_reading *reading) {
    for (size_t i = 0; i < reading->rows.words_count; i++) {
        const struct mx_words *words = &reading->rows.words[i];
        if (words->letter_count == 0) {
            accent(reading, words);
        } else {
            spread(reading, words);
        }
    }
}
