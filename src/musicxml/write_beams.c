/* Beams: notes shorter than a quarter that stand directly behind one another in one beat. */
#include "write.h"

enum { LAST_VALUE_WITHOUT_FLAG = 2, LEVELS = 5 };

/* A beat is three units where the metre is compound, else a quarter. */
static eh_ticks beat_of(const struct eh_written_bar *bar) {
    const bool compound = bar->unit >= 8 && bar->beats % 3 == 0;
    return compound ? 4 * EH_TICKS_PER_QUARTER / bar->unit * 3 : EH_TICKS_PER_QUARTER;
}

static bool is_beamable(const struct write_item *item) {
    return item->item.kind != EH_WRITTEN_REST && item->item.value > LAST_VALUE_WITHOUT_FLAG;
}

/* The end of the row that begins with ITEMS[FROM]: a beam does not cross a beat, unless a group
 * does. */
static size_t row_end(const struct write_item *items, size_t count, size_t from, eh_ticks beat) {
    size_t end = from + 1;
    while (end < count && is_beamable(&items[end])) {
        const bool new_beat = items[end].item.at / beat != items[end - 1].item.at / beat;
        const bool new_group = items[end].starts > 0 && items[end].starts == items[end].depth;
        const bool left_group = items[end].depth == 0 && items[end - 1].depth > 0;
        if ((new_beat && items[end].depth == 0) || new_group || left_group) {
            break;
        }
        end++;
    }
    return end;
}

/* Level LEVEL (from 0) of note I in the row FROM .. END. */
static char beam_at(const struct write_item *items, size_t from, size_t end, size_t i, int level) {
    const bool before = i > from && items[i - 1].beams > level;
    const bool after = i + 1 < end && items[i + 1].beams > level;
    if (before && after) {
        return 'c';
    }
    if (before || after) {
        return before ? 'e' : 'b';
    }
    return i > from ? 'k' : 'f';
}

static void beam_row(struct write_item *items, size_t from, size_t end) {
    if (end - from < 2) {
        return;
    }
    for (size_t i = from; i < end; i++) {
        for (int level = 0; level < items[i].beams; level++) {
            items[i].beam[level] = beam_at(items, from, end, i, level);
        }
    }
}

void write_beams(struct write_item *items, size_t count, const struct eh_written_bar *bar) {
    for (size_t i = 0; i < count; i++) {
        const int flags = items[i].item.value - LAST_VALUE_WITHOUT_FLAG;
        items[i].beams = (uint8_t)(flags > LEVELS ? LEVELS : flags > 0 ? flags : 0);
    }
    size_t from = 0;
    while (from < count) {
        if (!is_beamable(&items[from])) {
            from++;
            continue;
        }
        const size_t end = row_end(items, count, from, beat_of(bar));
        beam_row(items, from, end);
        from = end;
    }
}
