/* A reading in the making, piece by piece. Only this room sees it. */
#ifndef READING_MAKE_H
#define READING_MAKE_H

#include "evenhand/reading.h"

#define READING_WHOLE (4 * EH_TICKS_PER_QUARTER)

/* What was written at a place: kept while the rolls are being found. */
struct reading_note {
    bool rolled; /* a measured tremolo, or the hold of one */
    bool buzz;   /* a press, or the hold of one */
    bool begins; /* a note, not its hold */
    uint8_t value, dots, group;
};

struct reading_making {
    struct eh_reading *reading;
    const struct eh_exercise *exercise;
    struct reading_note *notes; /* owned; one a place */
    size_t capacity;            /* of places and notes */
};

/* The places of written bar INDEX, counted and with their strokes. FIRST_STROKE is where its first
 * playing begins in the row of strokes. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status reading_add_places(struct reading_making *making, size_t index,
                                              size_t first_stroke);

/* Writes the syllables of COUNT places. THIRDS has a bit for each beat of the bar, from 0, that a
 * group divides by three; beats from 64 on have none. */
void reading_count(const struct eh_reading_bar *bar, struct eh_reading_place *places, size_t count,
                   uint64_t thirds);

/* The beat in which AT, counted from the beginning of the metre, falls. */
int reading_beat_of(const struct eh_reading_bar *bar, eh_ticks at);

/* When all places stand. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status reading_find_rolls(struct reading_making *making);
EH_MUST_USE enum eh_status reading_add_levels(struct reading_making *making);

/* ROWS or a larger copy of it with room for NEEDED rows of SIZE bytes and *CAPACITY brought up to
 * date; NULL when memory is short, ROWS then stays. */
void *reading_grow(void *rows, size_t *capacity, size_t needed, size_t size);

#endif
