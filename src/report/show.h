/* A reading laid out as lines of text: within this room only. */
#ifndef EVENHAND_REPORT_SHOW_H
#define EVENHAND_REPORT_SHOW_H

#include "evenhand/reading.h"
#include "evenhand/report.h"
#include "paper.h"

enum {
    SHOW_WIDTH_MAX = 240, /* columns; a wider look is taken as this */
    SHOW_LABEL = 8,       /* columns of a row's name at its left */
    SHOW_OPENING = 3,     /* of what opens a bar: "|: " */
    SHOW_TEXT = 32        /* bytes of a sign or a place's text */
};

/* A place as it is written: LEAD stands left of its column, the rest from its column on. */
struct show_cell {
    int lead, tail; /* columns; TAIL at least 1 */
};

/* A part of a bar that stands in one line: places FIRST to END - 1 of the reading. */
struct show_piece {
    size_t bar;
    size_t first, end;
    int column;        /* of its opening */
    int content;       /* where its places may begin */
    int close;         /* where its closing sign, or the next opening, stands */
    bool begins, ends; /* the bar does */
};

enum { SHOW_PIECES = 64 }; /* at most in a line */

struct show_line {
    struct show_piece pieces[SHOW_PIECES];
    int count;
    int end; /* columns taken */
};

/* What is laid out, and what is known of it. */
struct show_page {
    const struct eh_reading *reading;
    size_t first_bar, last_bar; /* from 0, both shown */
    int width;
    int *columns; /* owned; a place's column from the beginning of its bar's content */
    int *widths;  /* owned; of a bar's content */
};

/* The rows of a line, from above. */
enum show_row {
    SHOW_BAR,
    SHOW_COUNT,
    SHOW_EIGHTHS,
    SHOW_ACCENT,
    SHOW_HAND,
    SHOW_ROLL,
    SHOW_MOTION,
    SHOW_LEVEL,
    SHOW_ROWS
};

struct show_canvas {
    char rows[SHOW_ROWS][SHOW_WIDTH_MAX + 1]; /* filled with spaces */
    bool used[SHOW_ROWS];
    int width;
};

/* Writes TEXT from COLUMN on; what would leave the line is cut. Marks the row as used. */
void show_put(struct show_canvas *canvas, enum show_row row, int column, const char *text);

/* The hand of a place: "R", "RR", "R*8", "Rz", "-", "_", ""; grace notes as they stand before it.
 */
void show_hand_text(const struct eh_reading_place *place, char out[SHOW_TEXT]);
void show_grace_text(const struct eh_reading_place *place, char out[SHOW_TEXT]);

/* Whether a place is counted and not struck: its count stands in parentheses. */
bool show_is_silent(const struct eh_reading_place *place);

/* The opening and closing signs of a bar: "|:", ":|", ":|x4"; and what stands over it. */
void show_closing_text(const struct eh_reading_bar *bar, char out[SHOW_TEXT]);
void show_heading_text(const struct eh_reading_bar *bar, char out[2 * SHOW_TEXT]);

/* The column of each place and the width of each bar that is shown. */
void show_lay_bars(struct show_page *page);

/* The next line from *BAR, *PLACE on; moves both on. False at the end. */
bool show_next_line(const struct show_page *page, size_t *bar, size_t *place,
                    struct show_line *out_line);

/* The column of PLACE, which stands in PIECE, in its line. */
int show_column(const struct show_page *page, const struct show_piece *piece, size_t place);
const struct show_piece *show_piece_of(const struct show_line *line, size_t place);

void show_draw_bars(const struct show_page *page, const struct show_line *line,
                    struct show_canvas *canvas);
void show_draw_rolls(const struct show_page *page, const struct show_line *line,
                     struct show_canvas *canvas);
void show_draw_levels(const struct show_page *page, const struct show_line *line,
                      struct show_canvas *canvas, bool first_line);

/* How many columns the mark at (BAR, AT) needs before the next one, which stands at UNTIL in the
 * bar or before; 0 where there is none, or no other so near. */
int show_level_room(const struct eh_reading *reading, size_t bar, eh_ticks at, eh_ticks until);

/* Title, what it trains, how much there is to play. */
void show_head(const struct report_paper *paper, const struct eh_exercise *exercise);

/* What the signs that were used mean. */
void show_signs(const struct report_paper *paper, const struct show_page *page);

#endif
