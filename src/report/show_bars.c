/* Where the places of a bar stand: apart in proportion to their time, beat by beat. All beats of a
 * bar are equally wide where that fits into a line, so that the eye can count them. */
#include <string.h>

#include "show.h"

enum {
    FINEST_GRID = 12, /* parts of a beat; what divides it finer stands one after the other */
    STEP_WIDE = 3,    /* columns for a part of a beat: up to four of them ... */
    STEP_NARROW = 2,  /* ... and for more */
    PARTS_WIDE = 4,
    BEAT_GAP = 1, /* what sets beats apart, besides */
    SLACK_MOST = 3,
    MARKS_NEAR = 2 /* places between two marks that must not run into each other */
};

/* One beat of a bar: its places, and how it divides. */
struct beat {
    size_t first, end;
    eh_ticks length; /* from its first place to the next beat or the bar's end */
    int parts;       /* 0: no grid */
    int step;
    int width; /* with the gap behind */
    int least; /* the same where nothing is left open behind the last place */
};

/* How wide the beats of a bar are made, the first that fits into a line. */
enum spread {
    SPREAD_EQUAL, /* all alike */
    SPREAD_OWN,   /* each in proportion to its own division */
    SPREAD_LEAST  /* each ends behind its last place */
};

static int at_least(int a, int b) {
    return a > b ? a : b;
}

static struct show_cell cell_of(const struct show_page *page, size_t bar, size_t index) {
    const struct eh_reading_place *place = &page->reading->places[index];
    const int silent = show_is_silent(place);
    char hand[SHOW_TEXT];
    show_hand_text(place, hand);
    struct show_cell cell = {at_least(silent, place->grace_count), 1};
    cell.tail = at_least(cell.tail, (int)strlen(place->count) + silent);
    cell.tail = at_least(cell.tail, (int)strlen(place->eighth) + silent);
    cell.tail = at_least(cell.tail, (int)strlen(hand));
    const struct eh_reading_bar *rows = &page->reading->bars[bar];
    const size_t near = index + MARKS_NEAR;
    const bool inside = near < rows->first + rows->count;
    const eh_ticks until = inside ? page->reading->places[near].at : rows->length;
    cell.tail = at_least(cell.tail, show_level_room(page->reading, bar, place->at, until));
    return cell;
}

static eh_ticks part_of(const struct show_page *page, const struct beat *beat, size_t place) {
    return page->reading->places[place].at - page->reading->places[beat->first].at;
}

/* The part of the beat at which PLACE stands, in parts. */
static int grid_of(const struct show_page *page, const struct beat *beat, size_t place) {
    return (int)(part_of(page, beat, place) * beat->parts / beat->length);
}

static struct beat find_beat(const struct show_page *page, const struct eh_reading_bar *bar,
                             size_t first) {
    const struct eh_reading_place *places = page->reading->places;
    const size_t bar_end = bar->first + bar->count;
    struct beat beat = {.first = first, .end = first};
    while (beat.end < bar_end && places[beat.end].beat == places[first].beat) {
        beat.end++;
    }
    const eh_ticks to = beat.end < bar_end ? places[beat.end].at : bar->length;
    beat.length = to - places[first].at;
    eh_ticks divisor = beat.length;
    for (size_t i = first + 1; i < beat.end; i++) {
        divisor = eh_common_divisor(divisor, part_of(page, &beat, i));
    }
    const eh_ticks parts = beat.length / divisor;
    beat.parts = parts <= FINEST_GRID ? (int)parts : 0;
    return beat;
}

/* The columns that the places need without a grid. */
static int tight_width(const struct show_page *page, size_t bar, const struct beat *beat) {
    int width = 0;
    for (size_t i = beat->first; i < beat->end; i++) {
        const struct show_cell cell = cell_of(page, bar, i);
        width += cell.tail + 1 + (i > beat->first ? cell.lead : 0);
    }
    return width;
}

/* The least step at which no two places touch. */
static int step_of(const struct show_page *page, size_t bar, const struct beat *beat) {
    int step = beat->parts <= PARTS_WIDE ? STEP_WIDE : STEP_NARROW;
    struct show_cell cell = cell_of(page, bar, beat->first);
    for (size_t i = beat->first + 1; i < beat->end; i++) {
        const struct show_cell next = cell_of(page, bar, i);
        const int apart = at_least(1, grid_of(page, beat, i) - grid_of(page, beat, i - 1));
        const int needed = cell.tail + 1 + next.lead;
        step = at_least(step, (needed + apart - 1) / apart);
        cell = next;
    }
    return step;
}

static void measure_beat(const struct show_page *page, size_t bar, struct beat *beat) {
    const struct eh_reading_bar *rows = &page->reading->bars[bar];
    const struct show_cell last = cell_of(page, bar, beat->end - 1);
    const bool more = beat->end < rows->first + rows->count;
    const int behind = last.tail + 1 + (more ? cell_of(page, bar, beat->end).lead : 0);
    if (beat->parts == 0) {
        beat->width = tight_width(page, bar, beat) + behind - last.tail;
        beat->least = beat->width;
        return;
    }
    beat->step = step_of(page, bar, beat);
    const int last_at = grid_of(page, beat, beat->end - 1) * beat->step;
    beat->least = last_at + behind + BEAT_GAP;
    beat->width = at_least(beat->parts * beat->step + BEAT_GAP, beat->least);
}

/* Columns of a beat's places from COLUMN on, STEP columns for a part. */
static void place_beat(const struct show_page *page, size_t bar, const struct beat *beat,
                       int column, int step) {
    int pen = column;
    for (size_t i = beat->first; i < beat->end; i++) {
        if (beat->parts > 0) {
            page->columns[i] = column + grid_of(page, beat, i) * step;
            continue;
        }
        const struct show_cell cell = cell_of(page, bar, i);
        pen += i > beat->first ? cell.lead : 0;
        page->columns[i] = pen;
        pen += cell.tail + 1;
    }
}

/* How many columns a bar's places may take. */
static int room(const struct show_page *page) {
    return page->width - SHOW_LABEL - SHOW_OPENING - (int)sizeof ":|x99";
}

/* The width of a beat; *STEP becomes that of its parts. WIDEST is that of the bar's widest beat,
 * SLACK what may stand open behind one that would else end behind its last place. */
static int spread_beat(const struct beat *beat, enum spread spread, bool full, int widest,
                       int slack, int *step) {
    *step = beat->step;
    if (spread == SPREAD_LEAST) {
        return beat->least + slack;
    }
    if (spread == SPREAD_OWN || !full || beat->parts == 0) {
        return beat->width;
    }
    *step = (widest - BEAT_GAP) / beat->parts;
    return widest;
}

/* Places all beats of a bar and returns its width. *WIDEST, where it is 0, becomes the width of the
 * widest beat; else it is what equal beats take. */
static int lay_beats(const struct show_page *page, size_t bar, enum spread spread, int slack,
                     int *widest) {
    const struct eh_reading_bar *rows = &page->reading->bars[bar];
    int column = rows->count == 0 ? 0 : cell_of(page, bar, rows->first).lead;
    int found = 0;
    size_t place = rows->first;
    while (place < rows->first + rows->count) {
        struct beat beat = find_beat(page, rows, place);
        measure_beat(page, bar, &beat);
        found = at_least(found, beat.width);
        int step = 0;
        const int width =
            spread_beat(&beat, spread, beat.length == rows->beat, *widest, slack, &step);
        place_beat(page, bar, &beat, column, step);
        column += width;
        place = beat.end;
    }
    *widest = found;
    return column + show_level_room(page->reading, bar, rows->length, rows->length);
}

static void lay_bar(struct show_page *page, size_t bar) {
    int widest = 0;
    const int own = lay_beats(page, bar, SPREAD_OWN, 0, &widest);
    int width = lay_beats(page, bar, SPREAD_EQUAL, 0, &widest);
    if (width > room(page)) {
        width = lay_beats(page, bar, own <= room(page) ? SPREAD_OWN : SPREAD_LEAST, 0, &widest);
    }
    for (int slack = 1; own > room(page) && slack <= SLACK_MOST && width < room(page); slack++) {
        const int wider = lay_beats(page, bar, SPREAD_LEAST, slack, &widest);
        if (wider > room(page)) {
            (void)lay_beats(page, bar, SPREAD_LEAST, slack - 1, &widest);
            break;
        }
        width = wider;
    }
    char heading[2 * SHOW_TEXT];
    show_heading_text(&page->reading->bars[bar], heading);
    const int words = (int)strlen(heading) + 1;
    page->widths[bar] = at_least(width, words < room(page) ? words : room(page));
}

void show_lay_bars(struct show_page *page) {
    for (size_t bar = page->first_bar; bar <= page->last_bar; bar++) {
        lay_bar(page, bar);
    }
}
