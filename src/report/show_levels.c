/* Dynamics with the height of the stick, and hairpins: their narrow end is at the softer side, in
 * every line that they cross. */
#include <stdio.h>
#include <string.h>

#include "show.h"

enum { LEAST_HAIRPIN = 2, TENTHS = 10 };

/* The first level at or after (BAR, AT). */
static size_t level_from(const struct eh_reading *reading, size_t bar, eh_ticks at) {
    size_t low = 0;
    size_t high = reading->level_count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        const struct eh_reading_level *level = &reading->levels[middle];
        if ((size_t)level->bar < bar || ((size_t)level->bar == bar && level->at < at)) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

static const char *short_text(const struct eh_reading_level *level) {
    return eh_dynamic_text((enum eh_dynamic)level->dynamic);
}

int show_level_room(const struct eh_reading *reading, size_t bar, eh_ticks at, eh_ticks until) {
    const size_t index = level_from(reading, bar, at);
    if (index == reading->level_count) {
        return 0;
    }
    const struct eh_reading_level *level = &reading->levels[index];
    if ((size_t)level->bar != bar || level->at != at) {
        return 0;
    }
    const bool at_end = at == reading->bars[bar].length;
    const bool more = index + 1 < reading->level_count;
    if (!at_end && !(more && (size_t)level[1].bar == bar && level[1].at <= until)) {
        return 0;
    }
    return (int)strlen(short_text(level)) + (level->swell != 0 ? LEAST_HAIRPIN + 1 : 0);
}

static void long_text(const struct eh_reading_level *level, char out[SHOW_TEXT]) {
    const int height = eh_stick_height((enum eh_dynamic)level->dynamic);
    if (height == 0) {
        (void)snprintf(out, SHOW_TEXT, "%s", short_text(level));
    } else if (height % TENTHS == 0) {
        (void)snprintf(out, SHOW_TEXT, "%s %d in", short_text(level), height / TENTHS);
    } else {
        (void)snprintf(out, SHOW_TEXT, "%s %d.%d in", short_text(level), height / TENTHS,
                       height % TENTHS);
    }
}

/* Where a level stands in LINE; -1: it does not. A mark at the end of a bar that stands in the line
 * is drawn at its closing. */
static int column_of(const struct show_page *page, const struct show_line *line,
                     const struct eh_reading_level *level) {
    for (int p = 0; p < line->count; p++) {
        const struct show_piece *piece = &line->pieces[p];
        if (piece->bar != (size_t)level->bar) {
            continue;
        }
        for (size_t i = piece->first; i < piece->end; i++) {
            if (page->reading->places[i].at >= level->at) {
                const bool here = page->reading->places[i].at == level->at || i > piece->first;
                return here ? show_column(page, piece, i) : -1;
            }
        }
        if (piece->ends) {
            return piece->close - show_level_room(page->reading, piece->bar, level->at, level->at);
        }
    }
    return -1;
}

/* From column FROM up to, not including, column TO. */
static void draw_hairpin(struct show_canvas *canvas, int from, int to, int swell) {
    for (int column = from; column < to; column++) {
        show_put(canvas, SHOW_LEVEL, column, "-");
    }
    if (to > from) {
        show_put(canvas, SHOW_LEVEL, swell > 0 ? from : to - 1, swell > 0 ? "<" : ">");
    }
}

/* A mark at COLUMN, and its hairpin up to NEXT. */
static void draw_level(struct show_canvas *canvas, const struct eh_reading_level *level, int column,
                       int next) {
    char text[SHOW_TEXT];
    long_text(level, text);
    const int hairpin = level->swell != 0 ? 1 + LEAST_HAIRPIN : 0;
    if (column + (int)strlen(text) + hairpin >= next) {
        (void)snprintf(text, sizeof text, "%s", short_text(level));
    }
    show_put(canvas, SHOW_LEVEL, column, text);
    if (level->swell != 0) {
        draw_hairpin(canvas, column + (int)strlen(text) + 1, next - 1, level->swell);
    }
}

/* What holds where the line begins, as far as it must be said: in the first line, and where a
 * hairpin comes from the line before. Returns the level. */
static void draw_before(const struct show_page *page, const struct show_line *line, size_t index,
                        int next, struct show_canvas *canvas, bool first_line) {
    const struct eh_reading_level *before = &page->reading->levels[index - 1];
    const struct show_piece *piece = &line->pieces[0];
    const int column = show_column(page, piece, piece->first);
    if (column >= next) {
        return;
    }
    if (first_line && before->swell == 0) {
        draw_level(canvas, before, column, next);
    } else if (first_line) {
        char text[SHOW_TEXT];
        (void)snprintf(text, sizeof text, "(%s)", short_text(before));
        show_put(canvas, SHOW_LEVEL, column, text);
        draw_hairpin(canvas, column + (int)strlen(text) + 1, next - 1, before->swell);
    } else if (before->swell != 0) {
        draw_hairpin(canvas, column, next - 1, before->swell);
    }
}

void show_draw_levels(const struct show_page *page, const struct show_line *line,
                      struct show_canvas *canvas, bool first_line) {
    const struct eh_reading *reading = page->reading;
    const struct show_piece *piece = &line->pieces[0];
    const int edge = line->end < canvas->width ? line->end : canvas->width;
    size_t index = level_from(reading, piece->bar, reading->places[piece->first].at);
    const int first =
        index < reading->level_count ? column_of(page, line, &reading->levels[index]) : -1;
    if (index > 0) {
        draw_before(page, line, index, first < 0 ? edge + 1 : first, canvas, first_line);
    }
    int column = first;
    while (column >= 0) {
        const bool more = index + 1 < reading->level_count;
        const int next = more ? column_of(page, line, &reading->levels[index + 1]) : -1;
        draw_level(canvas, &reading->levels[index], column, next < 0 ? edge + 1 : next);
        column = next;
        index++;
    }
}
