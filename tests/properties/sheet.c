#include "sheet.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"

/* Figures of one quarter note. Each also comes with its hands swapped. */
static const char *const figures[] = {
    "8:RL",         "16:RLRL",       "16:RRLL",     "16:RLRR",      "16:R>LRL",     "16:R>LRR",
    "16:RLR>L",     "16:R/L/ 8:R>",  "16:R/L/R/L/", "16:R/L/R/ L>", "8:lR L",       "8:lR rL",
    "8:llR rrL",    "8:llR> L",      "16:lR>LRL",   "16:llrR>LRL",  "4:Rz",         "8:RzLz",
    "8:Rz L",       "8:3[RLR]",      "8:3[R>LR]",   "8:3[lR>LR]",   "16:6[RLRLRL]", "16:6[R>LRLRL]",
    "16:6[RRLLRR]", "16:6[R>LLRRL]", "8:R -",       "4:R",          "16:- LRL",     "16:R L>R^L",
    "32:RLRLRLRL",  "32:RRLLRRLL",   "8:R// L//",   "16:R - L -",   "8.:R 16:L",
};
enum { FIGURES = sizeof figures / sizeof figures[0] };

static bool is_hand(char c) {
    return c == 'R' || c == 'L';
}

static bool is_grace(char c) {
    return c == 'r' || c == 'l';
}

static char other(char c) {
    switch (c) {
    case 'R':
        return 'L';
    case 'L':
        return 'R';
    case 'r':
        return 'l';
    default:
        return 'r';
    }
}

/* R and L are hands; r and l are where only such stand between them and a hand. */
static void add_mirrored(struct eh_text *out, const char *music, size_t length) {
    for (size_t i = 0; i < length; i++) {
        size_t hand = i;
        while (hand < length && is_grace(music[hand])) {
            hand++;
        }
        const bool played = hand < length && is_hand(music[hand]);
        for (; played && i < hand; i++) {
            eh_text_add_char(out, other(music[i]));
        }
        eh_text_add_char(out, played ? other(music[i]) : music[i]);
    }
}

static struct eh_exercise *read(struct eh_text *text) {
    struct eh_exercise *exercise = NULL;
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_exercise_parse(&exercise, text->data, text->length, &error) != EH_OK) {
        (void)fprintf(stderr, "sheet: %s\n%s\n", error.text, eh_text_string(text));
        abort();
    }
    eh_text_deinit(text);
    return exercise;
}

static bool is_words(const char *line) {
    return strncmp(line, "title:", 6) == 0 || strncmp(line, "about:", 6) == 0;
}

struct eh_exercise *sheet_mirrored(const struct eh_exercise *exercise) {
    struct eh_text text = {0};
    struct eh_text mirrored = {0};
    if (eh_exercise_print(exercise, &text) != EH_OK) {
        abort();
    }
    for (const char *line = eh_text_string(&text); *line != '\0';) {
        const char *end = strchr(line, '\n');
        const size_t length = end == NULL ? strlen(line) : (size_t)(end - line) + 1;
        if (is_words(line)) {
            eh_text_add_bytes(&mirrored, line, length);
        } else {
            add_mirrored(&mirrored, line, length);
        }
        line += length;
    }
    eh_text_deinit(&text);
    return read(&mirrored);
}

/* ---- Playable ---- */

struct sheet {
    struct chance *chance;
    const char *chosen[3];
    int count;
    bool alternate, marked;
    int swelling; /* an open hairpin: 1 cresc, -1 dim, 0 none */
    int beat;
};

static void add_figure(struct sheet *sheet, struct eh_text *out) {
    struct chance *chance = sheet->chance;
    const char *figure = sheet->chosen[chance_of(chance, 80) ? sheet->beat % sheet->count
                                                             : chance_below(chance, sheet->count)];
    const bool swapped = sheet->alternate ? sheet->beat % 2 != 0 : chance_of(chance, 50);
    if (swapped) {
        add_mirrored(out, figure, strlen(figure));
    } else {
        eh_text_add(out, figure);
    }
    eh_text_add_char(out, ' ');
    sheet->beat++;
}

/* Ends the hairpin at a mark on its own side. */
static void close_hairpin(struct sheet *sheet, struct eh_text *out) {
    if (sheet->swelling != 0) {
        const bool far = chance_of(sheet->chance, 50);
        eh_text_add(out, sheet->swelling > 0 ? (far ? "ff " : "f ") : (far ? "pp " : "p "));
        sheet->swelling = 0;
    }
}

/* Before a bar: a mark, or a hairpin that reaches to the next mark. */
static void add_mark(struct sheet *sheet, struct eh_text *out) {
    static const char *const marks[] = {"pp", "p", "mp", "mf", "f", "ff"};
    if (!sheet->marked || !chance_of(sheet->chance, 50)) {
        return;
    }
    if (sheet->swelling != 0) {
        close_hairpin(sheet, out);
    } else if (chance_of(sheet->chance, 35)) {
        sheet->swelling = chance_of(sheet->chance, 50) ? 1 : -1;
        eh_text_add(out, sheet->swelling > 0 ? "mp cresc " : "mf dim ");
    } else {
        eh_text_printf(out, "%s ", marks[chance_below(sheet->chance, 6)]);
    }
}

static void add_bar(struct sheet *sheet, struct eh_text *out, int beats) {
    add_mark(sheet, out);
    for (int i = 0; i < beats; i++) {
        if (chance_of(sheet->chance, 6)) {
            eh_text_add(out, "4:- ");
        } else {
            add_figure(sheet, out);
        }
    }
}

/* A hairpin must not reach over a repeat: marks only where nothing is repeated. */
static void add_bars(struct sheet *sheet, struct eh_text *out) {
    const int beats = 2 + chance_below(sheet->chance, 3);
    const int bars = 2 + chance_below(sheet->chance, 7);
    const bool repeats = !sheet->marked && chance_of(sheet->chance, 40);
    const int from = repeats ? chance_below(sheet->chance, bars) : -1;
    eh_text_printf(out, "metre: %d/4\n", beats);
    for (int bar = 0; bar < bars; bar++) {
        eh_text_add(out, bar == from ? "|: " : "| ");
        add_bar(sheet, out, beats);
        if (repeats && bar == bars - 1) {
            eh_text_printf(out, ":|x%d\n", 2 + chance_below(sheet->chance, 2));
        }
    }
    eh_text_add(out, "| ");
    close_hairpin(sheet, out);
    eh_text_add(out, "1/4 4:R> |\n");
}

struct eh_exercise *sheet_playable(struct chance *chance) {
    struct sheet sheet = {.chance = chance, .count = 1 + chance_below(chance, 3)};
    struct eh_text text = {0};
    for (int i = 0; i < sheet.count; i++) {
        sheet.chosen[i] = figures[chance_below(chance, FIGURES)];
    }
    sheet.alternate = chance_of(chance, 60);
    sheet.marked = chance_of(chance, 30);
    add_bars(&sheet, &text);
    return read(&text);
}
