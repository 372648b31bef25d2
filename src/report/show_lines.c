/* Lines: as many whole bars as fit; a bar that fits into no line is broken where a beat begins. */
#include <string.h>

#include "show.h"

/* What stands before the first place of a line that goes on with a bar: room for its grace notes.
 */
static int opening_of(const struct show_page *page, size_t first) {
    const int lead = page->reading->places[first].grace_count + 1;
    return lead > SHOW_OPENING ? lead : SHOW_OPENING;
}

int show_column(const struct show_page *page, const struct show_piece *piece, size_t place) {
    const int from =
        piece->begins ? 0 : page->columns[piece->first] - opening_of(page, piece->first);
    return piece->content + page->columns[place] - from;
}

const struct show_piece *show_piece_of(const struct show_line *line, size_t place) {
    for (int i = 0; i < line->count; i++) {
        if (place >= line->pieces[i].first && place < line->pieces[i].end) {
            return &line->pieces[i];
        }
    }
    return NULL;
}

static int closing_width(const struct eh_reading_bar *bar) {
    char closing[SHOW_TEXT];
    show_closing_text(bar, closing);
    return (int)strlen(closing);
}

static struct show_piece whole_bar(const struct show_page *page, size_t bar, int column) {
    const struct eh_reading_bar *rows = &page->reading->bars[bar];
    return (struct show_piece){.bar = bar,
                               .first = rows->first,
                               .end = rows->first + rows->count,
                               .column = column,
                               .content = column + SHOW_OPENING,
                               .close = column + SHOW_OPENING + page->widths[bar],
                               .begins = true,
                               .ends = true};
}

/* A bar is alone in its line when it is broken. */
static bool fits_alone(const struct show_page *page, size_t bar) {
    return SHOW_LABEL + SHOW_OPENING + page->widths[bar] +
               closing_width(&page->reading->bars[bar]) <=
           page->width;
}

static void fill_with_bars(const struct show_page *page, size_t *bar, struct show_line *line) {
    int column = SHOW_LABEL;
    while (*bar <= page->last_bar && line->count < SHOW_PIECES && fits_alone(page, *bar)) {
        const struct show_piece piece = whole_bar(page, *bar, column);
        const int end = piece.close + closing_width(&page->reading->bars[*bar]);
        if (end > page->width) {
            break;
        }
        line->pieces[line->count++] = piece;
        line->end = end;
        const bool repeated = page->reading->bars[*bar].times != 0;
        column = repeated ? end : piece.close;
        (*bar)++;
    }
}

/* The columns from place FIRST to END of a bar, the places' own signs included. */
static int span(const struct show_page *page, size_t bar, size_t first, size_t end) {
    const struct eh_reading_bar *rows = &page->reading->bars[bar];
    const int from = first == rows->first ? 0 : page->columns[first] - opening_of(page, first);
    const int to = end == rows->first + rows->count ? page->widths[bar] : page->columns[end];
    return to - from;
}

static bool begins_beat(const struct show_page *page, size_t place) {
    return page->reading->places[place].beat != page->reading->places[place - 1].beat;
}

/* Where the line that begins with place FIRST may end: the last beat that fits, else the last
 * place, LIMIT columns wide at most. */
static size_t furthest(const struct show_page *page, size_t bar, size_t first, int limit) {
    const struct eh_reading_bar *rows = &page->reading->bars[bar];
    const size_t bar_end = rows->first + rows->count;
    size_t beat_end = first;
    size_t place_end = first + 1;
    for (size_t end = first + 1; end <= bar_end && span(page, bar, first, end) <= limit; end++) {
        place_end = end;
        if (end == bar_end || begins_beat(page, end)) {
            beat_end = end;
        }
    }
    return beat_end > first ? beat_end : place_end;
}

/* How many lines a bar takes when each is LIMIT columns wide at most. */
static int lines_of(const struct show_page *page, size_t bar, size_t first, int limit) {
    const struct eh_reading_bar *rows = &page->reading->bars[bar];
    int lines = 0;
    while (first < rows->first + rows->count) {
        first = furthest(page, bar, first, limit);
        lines++;
    }
    return lines;
}

/* A part of a bar, the lines of which are about equally long. */
static void fill_with_part(const struct show_page *page, size_t bar, size_t *place,
                           struct show_line *line) {
    const struct eh_reading_bar *rows = &page->reading->bars[bar];
    const int most = page->width - SHOW_LABEL - SHOW_OPENING - closing_width(rows);
    int limit = most;
    const int lines = lines_of(page, bar, *place, most);
    while (limit > 1 && lines_of(page, bar, *place, limit - 1) == lines) {
        limit--;
    }
    const size_t end = furthest(page, bar, *place, limit);
    struct show_piece piece = {.bar = bar,
                               .first = *place,
                               .end = end,
                               .column = SHOW_LABEL,
                               .content = SHOW_LABEL + SHOW_OPENING,
                               .begins = *place == rows->first,
                               .ends = end == rows->first + rows->count};
    if (!piece.begins) {
        piece.content = SHOW_LABEL; /* the lead of its first place stands in the opening */
    }
    piece.close = piece.content + span(page, bar, *place, end);
    line->pieces[line->count++] = piece;
    line->end = piece.close + (piece.ends ? closing_width(rows) : 0);
    *place = end;
}

bool show_next_line(const struct show_page *page, size_t *bar, size_t *place,
                    struct show_line *out_line) {
    *out_line = (struct show_line){.count = 0};
    if (*bar > page->last_bar) {
        return false;
    }
    const struct eh_reading_bar *rows = &page->reading->bars[*bar];
    const bool broken = *place > rows->first && *place < rows->first + rows->count;
    if (!broken && fits_alone(page, *bar)) {
        fill_with_bars(page, bar, out_line);
    } else {
        *place = broken ? *place : rows->first;
        fill_with_part(page, *bar, place, out_line);
        *bar += *place == rows->first + rows->count;
    }
    return true;
}
