/* Where a fault begins and ends, bar by bar. */
#include <math.h>

#include "places_scan.h"
#include "places_sure.h"

/* With fewer strokes a bar says nothing of itself; a choice of ours. */
enum { BAR_LEAST = 3 };

static bool is_count(const struct eh_finding *f) {
    return f->aspect == EH_ASPECT_MISSED || f->aspect == EH_ASPECT_EXTRA ||
           f->aspect == EH_ASPECT_RIM || f->aspect == EH_ASPECT_STICKING;
}

static enum bar_side side_of(const struct eh_finding *f) {
    if (!isfinite(f->value) || f->n < BAR_LEAST) {
        return BAR_UNKNOWN;
    }
    if (is_count(f)) {
        return f->value > 0.0 ? BAR_ABOVE : BAR_INSIDE;
    }
    return f->value > f->limit_high ? BAR_ABOVE : f->value < f->limit_low ? BAR_BELOW : BAR_INSIDE;
}

void places_note_side(struct scan *scan, int32_t bar, const struct eh_finding *f) {
    const size_t at = (size_t)(bar - scan->first) * PLACES_KEYS + places_key(f);
    scan->sides[at] = (uint8_t)side_of(f);
}

/* Of a bar that has too few strokes of one hand, both hands tell. */
static enum bar_side side_at(const struct scan *scan, int32_t bar, uint8_t key) {
    const size_t at = (size_t)(bar - scan->first) * PLACES_KEYS;
    const uint8_t both = (uint8_t)(key / 4 * 4 + EH_SIDE_BOTH);
    return (enum bar_side)(scan->sides[at + key] != BAR_UNKNOWN ? scan->sides[at + key]
                                                                : scan->sides[at + both]);
}

static bool is_taken(const struct eh_located *taken, int32_t bar) {
    for (size_t i = 0; i < taken->place_count; i++) {
        if (bar >= taken->places[i].first_bar && bar <= taken->places[i].last_bar) {
            return true;
        }
    }
    return false;
}

static void cut(const struct scan *scan, uint8_t key, int32_t *first, int32_t *last) {
    while (*first < *last && side_at(scan, *first, key) == BAR_INSIDE) {
        (*first)++;
    }
    while (*last > *first && side_at(scan, *last, key) == BAR_INSIDE) {
        (*last)--;
    }
}

static void grow(const struct scan *scan, uint8_t key, enum bar_side side,
                 const struct eh_located *taken, int32_t *first, int32_t *last) {
    while (*first > scan->first && !is_taken(taken, *first - 1) &&
           side_at(scan, *first - 1, key) == side) {
        (*first)--;
    }
    while (*last < scan->last && !is_taken(taken, *last + 1) &&
           side_at(scan, *last + 1, key) == side) {
        (*last)++;
    }
}

/* The same place from FIRST to LAST, if it fails there, with certainty LEAST; 0: by itself. */
static enum eh_status move_to(struct scan *scan, uint8_t key, double least, int32_t first,
                              int32_t last, struct eh_place *place) {
    struct eh_place moved;
    const enum eh_status status = places_find_again(scan, key, first, last, &moved);
    if (status == EH_OK && places_sure(scan->judgement, &moved.finding) > least) {
        *place = moved;
    }
    return status;
}

enum eh_status places_settle_ends(struct scan *scan, uint8_t key, double least,
                                  const struct eh_located *taken, struct eh_place *place,
                                  bool *out_only_cut) {
    const enum bar_side side =
        is_count(&place->finding) || place->finding.value > place->finding.limit_high ? BAR_ABOVE
                                                                                      : BAR_BELOW;
    const struct eh_place was = *place;
    int32_t first = place->first_bar;
    int32_t last = place->last_bar;
    enum eh_status status = EH_OK;
    cut(scan, key, &first, &last);
    const int32_t cut_first = first;
    const int32_t cut_last = last;
    grow(scan, key, side, taken, &first, &last);
    if (first != was.first_bar || last != was.last_bar) {
        status = move_to(scan, key, least, first, last, place);
    }
    const bool moved = place->first_bar != was.first_bar || place->last_bar != was.last_bar;
    if (status == EH_OK && !moved && (cut_first != was.first_bar || cut_last != was.last_bar)) {
        status = move_to(scan, key, 0.0, cut_first, cut_last, place);
        *out_only_cut = place->first_bar != was.first_bar || place->last_bar != was.last_bar;
    }
    return status;
}
