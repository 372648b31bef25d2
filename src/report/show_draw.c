/* The rows of a line: bar numbers, counts, accents, hands. */
#include <stdio.h>
#include <string.h>

#include "show.h"

void show_put(struct show_canvas *canvas, enum show_row row, int column, const char *text) {
    for (int i = 0; text[i] != '\0' && column + i < canvas->width; i++) {
        canvas->rows[row][column + i] = text[i];
        canvas->used[row] = canvas->used[row] || text[i] != ' ';
    }
}

static void put_count(struct show_canvas *canvas, enum show_row row, int column, const char *count,
                      bool silent) {
    char text[SHOW_TEXT];
    (void)snprintf(text, sizeof text, silent ? "(%s)" : "%s", count);
    show_put(canvas, row, column - silent, text);
}

static void draw_place(const struct eh_reading_place *place, int column,
                       struct show_canvas *canvas) {
    static const char *const accents[] = {"", ">", "^"};
    const bool silent = show_is_silent(place);
    put_count(canvas, SHOW_COUNT, column, place->count, silent);
    if (place->eighth[0] != '\0') {
        put_count(canvas, SHOW_EIGHTHS, column, place->eighth, silent);
    }
    show_put(canvas, SHOW_ACCENT, column, accents[place->accent < 3 ? place->accent : 2]);
    char text[SHOW_TEXT];
    show_grace_text(place, text);
    show_put(canvas, SHOW_HAND, column - place->grace_count, text);
    show_hand_text(place, text);
    show_put(canvas, SHOW_HAND, column, text);
}

/* Bar lines stand in the rows that are always there. */
static void draw_sign(struct show_canvas *canvas, int column, const char *sign, bool dotted) {
    show_put(canvas, SHOW_HAND, column, sign);
    const char *line = strchr(sign, '|');
    const int at = column + (int)(line - sign);
    show_put(canvas, SHOW_COUNT, at, "|");
    if (dotted) {
        show_put(canvas, SHOW_EIGHTHS, at, "|");
    }
}

static void draw_piece(const struct show_page *page, const struct show_piece *piece,
                       bool after_repeat, struct show_canvas *canvas) {
    const struct eh_reading_bar *bar = &page->reading->bars[piece->bar];
    char text[2 * SHOW_TEXT];
    if (piece->begins) {
        show_heading_text(bar, text);
        show_put(canvas, SHOW_BAR, piece->content, text);
        if (bar->repeat_from || !after_repeat) {
            draw_sign(canvas, piece->column, bar->repeat_from ? "|:" : "|", bar->dotted);
        }
    } else {
        (void)snprintf(text, sizeof text, "%d goes on", (int)bar->number);
        show_put(canvas, SHOW_BAR, piece->content + SHOW_OPENING, text);
    }
    for (size_t i = piece->first; i < piece->end; i++) {
        draw_place(&page->reading->places[i], show_column(page, piece, i), canvas);
    }
}

void show_draw_bars(const struct show_page *page, const struct show_line *line,
                    struct show_canvas *canvas) {
    bool after_repeat = false;
    for (int i = 0; i < line->count; i++) {
        const struct show_piece *piece = &line->pieces[i];
        const struct eh_reading_bar *bar = &page->reading->bars[piece->bar];
        draw_piece(page, piece, after_repeat, canvas);
        after_repeat = piece->ends && bar->times != 0;
        if (piece->ends && (after_repeat || i + 1 == line->count)) {
            char closing[SHOW_TEXT];
            show_closing_text(bar, closing);
            draw_sign(canvas, piece->close, closing, bar->dotted);
        }
    }
}
