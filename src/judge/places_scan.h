/* Inside the search for places: all stretches of a run, each with its findings. */
#ifndef EVENHAND_JUDGE_PLACES_SCAN_H
#define EVENHAND_JUDGE_PLACES_SCAN_H

#include "evenhand/places.h"
#include "slice.h"

enum { PLACES_KEYS = EH_ASPECT_COUNT * 4 };

/* How one question came out in one stretch. */
struct look {
    int32_t first, last;
    uint8_t key;
    double sure; /* how far beyond the limit, in standard errors; 0 or less: it is not */
};

/* Where the estimate of a single bar lies, however unsure. */
enum bar_side { BAR_UNKNOWN, BAR_BELOW, BAR_INSIDE, BAR_ABOVE };

/* All of a key's stretches are looked at side by side, so their number is known at the end. */
struct scan {
    const struct eh_judgement *judgement;
    struct slice slice;
    int32_t first, last; /* written bars of the run */
    struct look *looks;  /* owned; those that fail by themselves */
    size_t count, capacity;
    uint8_t *sides; /* owned; enum bar_side by bar and key */
    uint32_t stretches[PLACES_KEYS];
};

static inline uint8_t places_key(const struct eh_finding *f) {
    return (uint8_t)(f->aspect * 4 + f->side);
}

/* The finding of KEY in the bars FIRST to LAST; of both hands where these bars have too few strokes
 * to tell the hands apart; all zero where there is none. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status places_find_again(struct scan *scan, uint8_t key, int32_t first,
                                             int32_t last, struct eh_place *out);

/* Notes where F, a finding of BAR alone, lies. */
void places_note_side(struct scan *scan, int32_t bar, const struct eh_finding *f);

/* Moves the ends of PLACE to where its fault ends: bars at its edges that are fine by themselves
 * are left out, and bars beside it that lie beyond the same limit by themselves are taken in, if
 * what results is surely a fault (by LEAST, in standard errors). Robust estimates and counts hardly
 * feel a few good bars. Else bars are only left out, if the rest fails by itself (OUT_ONLY_CUT):
 * that there is a fault the longer stretch has made sure. TAKEN says which bars belong to other
 * places.
 */
EH_MUST_USE enum eh_status places_settle_ends(struct scan *scan, uint8_t key, double least,
                                              const struct eh_located *taken,
                                              struct eh_place *place, bool *out_only_cut);

#endif
