/* The exercise as text, in one canonical way: a line holds up to four bars, beats are set apart,
 * and the note value is said anew at the beginning of a line. */
#include <stdio.h>
#include <string.h>

#include "builder.h"
#include "evenhand/exercise_text.h"

enum { BARS_A_LINE = 4, NOTES_A_LINE = 32, ABOUT_WIDTH = 88, NO_VALUE = 255 };

struct printing {
    const struct eh_exercise *exercise;
    struct eh_text *out;
    struct score_length length; /* that holds; value NO_VALUE: none */
    int bars, notes;            /* in the line */
    int depth;                  /* of groups */
    bool tight;                 /* nothing to be set apart from: a value or [ was just printed */
    bool spaced;                /* the next note must be set apart: a mark or ] was printed */
};

/* Header ------------------------------------------------------------------------------------ */

static void print_tempo_number(struct eh_text *out, int32_t milli) {
    eh_text_printf(out, "%d", (int)(milli / 1000));
    char digits[8];
    (void)snprintf(digits, sizeof digits, ".%03d", (int)(milli % 1000));
    size_t length = strlen(digits);
    while (digits[length - 1] == '0') {
        length--;
    }
    eh_text_add_bytes(out, digits, length > 1 ? length : 0);
}

/* Words up to the width, the rest on further lines, which the reader joins again. */
static void print_about(struct eh_text *out, const char *about) {
    while (*about != '\0') {
        size_t length = strlen(about);
        if (length > ABOUT_WIDTH) {
            length = ABOUT_WIDTH;
            while (length > 0 && about[length] != ' ') {
                length--;
            }
            length = length == 0 ? strcspn(about, " ") : length;
        }
        eh_text_add(out, "about: ");
        eh_text_add_bytes(out, about, length);
        eh_text_add_char(out, '\n');
        about += length;
        about += *about == ' ';
    }
}

static void print_line(struct eh_text *out, const char *name, const char *value) {
    if (*value != '\0') {
        eh_text_printf(out, "%s: %s\n", name, value);
    }
}

static void print_head(const struct eh_exercise *exercise, struct eh_text *out) {
    print_line(out, "title", eh_exercise_title(exercise));
    print_about(out, eh_exercise_about(exercise));
    print_line(out, "style", eh_exercise_style(exercise));
    eh_text_add(out, "tempo: ");
    print_tempo_number(out, exercise->tempo_start_milli);
    eh_text_add(out, " to ");
    print_tempo_number(out, exercise->tempo_goal_milli);
    eh_text_printf(out, "\nmetre: %d/%d\n\n", exercise->bars[0].beats, exercise->bars[0].unit);
}

/* Items ------------------------------------------------------------------------------------- */

static void set_apart(struct printing *printing) {
    if (!printing->tight) {
        eh_text_add_char(printing->out, ' ');
    }
    printing->tight = false;
}

/* How much is written in one go: three units where the metre is compound, else a quarter. */
static eh_ticks beat_of(const struct score_bar *bar) {
    const bool compound = bar->unit >= 8 && bar->beats % 3 == 0;
    return compound ? score_metre_length(3, bar->unit) : EH_TICKS_PER_QUARTER;
}

/* Says the item's value if it is not the one that holds. */
static void print_value(struct printing *printing, const struct score_item *item) {
    static const char *const dots[] = {"", ".", ".."};
    if (printing->length.value == item->value && printing->length.dots == item->dots) {
        return;
    }
    set_apart(printing);
    eh_text_printf(printing->out, "%d%s:", 1 << item->value, dots[item->dots]);
    printing->length = (struct score_length){.value = item->value, .dots = item->dots};
    printing->tight = true;
}

/* What comes before a note, rest or hold: a space where a beat begins, and its value. */
static void print_lead(struct printing *printing, const struct score_bar *bar,
                       const struct score_item *item) {
    print_value(printing, item);
    if (printing->spaced || (printing->depth == 0 && item->at % beat_of(bar) == 0)) {
        set_apart(printing);
    }
    printing->tight = false;
    printing->spaced = false;
}

static void print_note(struct eh_text *out, const struct score_note *note) {
    for (int k = 0; k < note->grace_count; k++) {
        eh_text_add_char(out, note->grace_hands >> k & 1 ? 'r' : 'l');
    }
    eh_text_add(out, eh_hand_letter((enum eh_hand)note->hand));
    eh_text_add(out, note->accent == 0 ? "" : note->accent == 1 ? ">" : "^");
    eh_text_add(out, note->buzz ? "z" : "");
    for (int k = 0; k < note->slashes; k++) {
        eh_text_add_char(out, '/');
    }
}

/* The value of the first note inside is said before the group: 8:3[RLR]. */
static void print_group(struct printing *printing, const struct score_item *item) {
    const struct score_item *first = item + 1;
    while (first->kind == SCORE_GROUP || first->kind == SCORE_MARK) {
        first++;
    }
    print_value(printing, first);
    set_apart(printing);
    eh_text_printf(printing->out, "%d", item->actual);
    if (item->normal != score_usual_normal(item->actual)) {
        eh_text_printf(printing->out, "in%d", item->normal);
    }
    eh_text_add_char(printing->out, '[');
    printing->depth++;
    printing->tight = true;
    printing->spaced = false;
}

static void print_mark(struct printing *printing, int mark) {
    static const char *const swells[] = {"cresc", "dim", "end"};
    set_apart(printing);
    eh_text_add(printing->out, mark < EH_DYNAMIC_COUNT ? eh_dynamic_text((enum eh_dynamic)mark)
                                                       : swells[mark - SCORE_CRESC]);
    printing->spaced = true;
}

static void print_item(struct printing *printing, const struct score_bar *bar,
                       const struct score_item *item) {
    switch ((enum score_item_kind)item->kind) {
    case SCORE_NOTE:
        print_lead(printing, bar, item);
        print_note(printing->out, &item->note);
        return;
    case SCORE_REST:
        print_lead(printing, bar, item);
        eh_text_add_char(printing->out, '-');
        return;
    case SCORE_HOLD:
        print_lead(printing, bar, item);
        eh_text_add_char(printing->out, '_');
        return;
    case SCORE_GROUP:
        print_group(printing, item);
        return;
    case SCORE_GROUP_END:
        eh_text_add_char(printing->out, ']');
        printing->depth--;
        printing->tight = false;
        printing->spaced = true;
        return;
    case SCORE_MARK:
        print_mark(printing, item->mark);
        return;
    }
}

/* Bars -------------------------------------------------------------------------------------- */

static void print_opening(struct printing *printing, size_t index) {
    const struct score_bar *bar = &printing->exercise->bars[index];
    const struct score_bar *before = index == 0 ? bar : bar - 1;
    for (int k = 0; k < SCORE_ENDINGS_MAX; k++) {
        if (bar->endings >> k & 1) {
            eh_text_printf(printing->out, " %d%s", k + 1,
                           k == 0   ? "st"
                           : k == 1 ? "nd"
                           : k == 2 ? "rd"
                                    : "th");
        }
    }
    if (bar->beats != before->beats || bar->unit != before->unit) {
        eh_text_printf(printing->out, " %d/%d", bar->beats, bar->unit);
    }
    if (bar->is_short) {
        eh_text_add(printing->out, index == 0 ? " pickup" : " short");
    }
}

/* Notes, rests and holds. */
static int notes_in(const struct eh_exercise *exercise, const struct score_bar *bar) {
    int notes = 0;
    for (size_t i = 0; i < bar->count; i++) {
        notes += exercise->items[bar->first + i].length > 0;
    }
    return notes;
}

static void print_bar_end(struct printing *printing, const struct score_bar *bar) {
    if (bar->times == 0) {
        return;
    }
    eh_text_add(printing->out, " :|");
    if (bar->times != 2) {
        eh_text_printf(printing->out, "x%d", bar->times);
    }
}

static void print_bar(struct printing *printing, size_t index) {
    const struct score_bar *bar = &printing->exercise->bars[index];
    const struct score_bar *before = index == 0 ? NULL : bar - 1;
    if (printing->bars == 0 || before->times == 0) {
        eh_text_add(printing->out, printing->bars == 0 ? "|" : " |");
        eh_text_add(printing->out, bar->repeat_from ? ":" : "");
    } else if (bar->repeat_from) {
        eh_text_add(printing->out, " |:");
    }
    print_opening(printing, index);
    printing->tight = false;
    for (size_t i = 0; i < bar->count; i++) {
        print_item(printing, bar, &printing->exercise->items[bar->first + i]);
    }
    print_bar_end(printing, bar);
    printing->bars++;
    printing->notes += notes_in(printing->exercise, bar);
}

static void end_line(struct printing *printing, bool closed) {
    if (printing->bars > 0) {
        eh_text_add(printing->out, closed ? "\n" : " |\n");
    }
    printing->bars = 0;
    printing->notes = 0;
    printing->length.value = NO_VALUE;
}

enum eh_status eh_exercise_print(const struct eh_exercise *exercise, struct eh_text *out) {
    struct printing printing = {.exercise = exercise, .out = out, .length.value = NO_VALUE};
    print_head(exercise, out);
    for (size_t i = 0; i < exercise->bar_count; i++) {
        const int more = notes_in(exercise, &exercise->bars[i]);
        const bool full = printing.bars == BARS_A_LINE || printing.notes + more > NOTES_A_LINE;
        if (full && printing.bars > 0) {
            end_line(&printing, exercise->bars[i - 1].times != 0);
        }
        print_bar(&printing, i);
    }
    end_line(&printing, exercise->bars[exercise->bar_count - 1].times != 0);
    return eh_text_status(out);
}
