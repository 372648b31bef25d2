/* An exercise as it is read: lines of counts, accents, hands, rolls and levels, one above the
 * other. */
#include "show.h"

#include <stdlib.h>
#include <string.h>

static const char *row_label(const struct show_page *page, const struct show_line *line,
                             enum show_row row) {
    static const char *const labels[SHOW_ROWS] = {"bar",  "count", "",       "accent",
                                                  "hand", "roll",  "motion", "level"};
    if (row != SHOW_EIGHTHS) {
        return labels[row];
    }
    for (int i = 0; i < line->count; i++) {
        const struct eh_reading_bar *bar = &page->reading->bars[line->pieces[i].bar];
        if (bar->dotted) {
            return bar->unit == 8 ? "8ths" : bar->unit == 16 ? "16ths" : "units";
        }
    }
    return "";
}

static void print_canvas(const struct show_page *page, const struct show_line *line,
                         struct show_canvas *canvas, struct eh_text *out) {
    eh_text_add_char(out, '\n');
    for (int row = 0; row < SHOW_ROWS; row++) {
        if (!canvas->used[row]) {
            continue;
        }
        show_put(canvas, (enum show_row)row, 0, row_label(page, line, (enum show_row)row));
        int length = canvas->width;
        while (length > 0 && canvas->rows[row][length - 1] == ' ') {
            length--;
        }
        eh_text_add_bytes(out, canvas->rows[row], (size_t)length);
        eh_text_add_char(out, '\n');
    }
}

static void print_lines(const struct show_page *page, struct eh_text *out) {
    size_t bar = page->first_bar;
    size_t place = page->reading->bars[bar].first;
    struct show_line line;
    bool first_line = true;
    while (show_next_line(page, &bar, &place, &line)) {
        struct show_canvas canvas = {.width = page->width};
        memset(canvas.rows, ' ', sizeof canvas.rows);
        show_draw_bars(page, &line, &canvas);
        show_draw_rolls(page, &line, &canvas);
        show_draw_levels(page, &line, &canvas, first_line);
        print_canvas(page, &line, &canvas, out);
        first_line = false;
    }
}

enum eh_status eh_report_exercise(const struct eh_exercise *exercise,
                                  const struct eh_reading *reading, int first_bar, int last_bar,
                                  const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    struct show_page page = {.reading = reading,
                             .first_bar = (size_t)first_bar - 1,
                             .last_bar = (size_t)last_bar - 1,
                             .width = paper.width};
    page.width = page.width > SHOW_WIDTH_MAX ? SHOW_WIDTH_MAX : page.width;
    page.columns = calloc(reading->place_count + 1, sizeof *page.columns);
    page.widths = calloc(reading->bar_count + 1, sizeof *page.widths);
    if (page.columns == NULL || page.widths == NULL) {
        out->failed = true;
    } else {
        show_lay_bars(&page);
        show_head(&paper, exercise);
        print_lines(&page, out);
        show_signs(&paper, &page);
    }
    free(page.columns);
    free(page.widths);
    return eh_text_status(out);
}
