/* Under each roll a bow with the number of its strokes, and the hand motion that makes them. */
#include <stdio.h>
#include <string.h>

#include "show.h"

/* "16ths", "8th triplets", "16th sextuplets"; "" where the motion has no one value. */
static void motion_text(const struct eh_reading_roll *roll, char *out, size_t size) {
    static const char *const names[] = {"whole", "half", "quarter", "8th",
                                        "16th",  "32nd", "64th",    "128th"};
    static const char *const dots[] = {"", "dotted ", "double-dotted "};
    if (!roll->even || roll->value > EH_WRITTEN_VALUE_LAST || roll->dots > EH_WRITTEN_DOTS_MAX) {
        out[0] = '\0';
        return;
    }
    const char *name = names[roll->value];
    switch (roll->group) {
    case 0:
        (void)snprintf(out, size, "%s%s%s", dots[roll->dots], name,
                       roll->value < 2 ? " notes" : "s");
        return;
    case 3:
        (void)snprintf(out, size, "%s%s triplets", dots[roll->dots], name);
        return;
    case 5:
        (void)snprintf(out, size, "%s%s quintuplets", dots[roll->dots], name);
        return;
    case 6:
        (void)snprintf(out, size, "%s%s sextuplets", dots[roll->dots], name);
        return;
    default:
        (void)snprintf(out, size, "%s%ss in a group of %u", dots[roll->dots], name,
                       (unsigned)roll->group);
    }
}

/* What fits into WIDTH columns of the bow: the more the better. */
static void roll_text(const struct eh_reading_roll *roll, int width, char *out, size_t size) {
    char motion[2 * SHOW_TEXT];
    motion_text(roll, motion, sizeof motion);
    const bool diddles = !roll->buzz && roll->each == 2 && motion[0] != '\0';
    const char *unit = roll->buzz ? "press" : "stroke";
    const char *many = roll->strokes == 1 ? "" : roll->buzz ? "es" : "s";
    if (motion[0] != '\0' && (diddles || roll->buzz)) {
        const int length = snprintf(out, size, " %u %s%s on %s%s ", roll->strokes, unit, many,
                                    motion, diddles ? ", two to each" : "");
        if (length <= width) {
            return;
        }
        if (snprintf(out, size, " %u on %s ", roll->strokes, motion) <= width) {
            return;
        }
    }
    if (snprintf(out, size, " %u %s%s ", roll->strokes, unit, many) > width &&
        snprintf(out, size, " %u ", roll->strokes) > width) {
        (void)snprintf(out, size, "%u", roll->strokes);
    }
}

static int hand_width(const struct show_page *page, size_t place) {
    char hand[SHOW_TEXT];
    show_hand_text(&page->reading->places[place], hand);
    const int width = (int)strlen(hand);
    return width > 0 ? width : 1;
}

/* The bow from column FROM to column TO. */
static void draw_bow(const struct eh_reading_roll *roll, int from, int to, bool begins, bool ends,
                     struct show_canvas *canvas) {
    for (int column = from; column <= to; column++) {
        show_put(canvas, SHOW_ROLL, column, "_");
    }
    show_put(canvas, SHOW_ROLL, from, begins ? "\\" : "_");
    show_put(canvas, SHOW_ROLL, to, ends ? "/" : "_");
    char text[4 * SHOW_TEXT];
    roll_text(roll, to - from - 1, text, sizeof text);
    const int length = (int)strlen(text);
    if (length <= to - from - 1) {
        show_put(canvas, SHOW_ROLL, from + (to - from + 1 - length) / 2, text);
    }
}

/* The part of ROLL that stands in LINE. */
static void draw_roll(const struct show_page *page, const struct show_line *line,
                      const struct eh_reading_roll *roll, struct show_canvas *canvas) {
    const size_t line_first = line->pieces[0].first;
    const size_t line_last = line->pieces[line->count - 1].end - 1;
    const size_t first = roll->first > line_first ? roll->first : line_first;
    const size_t last = roll->last < line_last ? roll->last : line_last;
    const int from = show_column(page, show_piece_of(line, first), first);
    int to = show_column(page, show_piece_of(line, last), last) + hand_width(page, last) - 1;
    to = to < from + 2 ? from + 2 : to; /* room for a number */
    draw_bow(roll, from, to, roll->first == first, roll->last == last, canvas);
    for (size_t i = first; i <= last; i++) {
        const struct eh_reading_place *place = &page->reading->places[i];
        if (place->kind == EH_PLACE_STROKE) {
            show_put(canvas, SHOW_MOTION, show_column(page, show_piece_of(line, i), i),
                     eh_hand_letter((enum eh_hand)place->hand));
        }
    }
}

void show_draw_rolls(const struct show_page *page, const struct show_line *line,
                     struct show_canvas *canvas) {
    int32_t drawn = EH_READING_NO_ROLL;
    for (int p = 0; p < line->count; p++) {
        for (size_t i = line->pieces[p].first; i < line->pieces[p].end; i++) {
            const int32_t roll = page->reading->places[i].roll;
            if (roll != EH_READING_NO_ROLL && roll != drawn) {
                draw_roll(page, line, &page->reading->rolls[roll], canvas);
                drawn = roll;
            }
        }
    }
}
