/* Count syllables. docs/reading.md has the conventions and why these were taken. */
#include <stdio.h>
#include <string.h>

#include "make.h"

enum { BEATS_WITH_A_BIT = 64 };

/* The places of one beat, as parts of it. */
struct beat {
    eh_ticks length;
    eh_ticks from;   /* from the beginning of the metre */
    unsigned number; /* from 1, of at most 64 */
    bool thirds;     /* divided by three: a triplet, or a dotted beat */
};

/* The row of syllables that is being written: a place's COUNT or EIGHTH. */
typedef char *(*syllable_of)(struct eh_reading_place *place);

static char *count_of(struct eh_reading_place *place) {
    return place->count;
}

static char *eighth_of(struct eh_reading_place *place) {
    return place->eighth;
}

/* PART of WHOLE is a multiple of a DIVISION-th. */
static bool falls_on(eh_ticks part, eh_ticks whole, int division) {
    return part * division % whole == 0;
}

/* A beat, or half of one, divided by two and four. */
static const char *by_halves(eh_ticks part, eh_ticks whole) {
    static const char *const quarters[] = {"", "e", "&", "a"};
    if (falls_on(part, whole, 4)) {
        return quarters[part * 4 / whole];
    }
    return falls_on(part, whole, 64) ? "." : "ta";
}

/* By three and six; "ta" is whatever lies between. */
static const char *by_thirds(eh_ticks part, eh_ticks whole) {
    if (falls_on(part, whole, 3)) {
        return part * 3 < 2 * whole ? "la" : "li";
    }
    if (falls_on(part, whole, 6)) {
        return "ta";
    }
    return falls_on(part, whole, 96) ? "." : "ta";
}

/* Whether a place among COUNT between FROM and FROM + LENGTH cannot be named by halves. */
static bool has_thirds(const struct eh_reading_place *places, size_t count, eh_ticks from,
                       eh_ticks length, eh_ticks offset) {
    for (size_t i = 0; i < count; i++) {
        const eh_ticks part = places[i].at + offset - from;
        if (part > 0 && part < length && !falls_on(part, length, 64) &&
            falls_on(part, length, 12)) {
            return true;
        }
    }
    return false;
}

/* Whether all that stands inside the beat divides it into two or four: duplets, quadruplets. */
static bool only_halves(const struct eh_reading_place *places, size_t count,
                        const struct beat *beat, eh_ticks offset) {
    for (size_t i = 0; i < count; i++) {
        if (!falls_on(places[i].at + offset - beat->from, beat->length, 4)) {
            return false;
        }
    }
    return true;
}

/* Within half a beat that is divided by three: its beginning is "&" (or the number), then la, li.
 */
static const char *in_half(eh_ticks part, const struct beat *beat, bool thirds) {
    const eh_ticks half = beat->length / 2;
    if (part == half) {
        return "&";
    }
    if (thirds) {
        return by_thirds(part % half, half);
    }
    return by_halves(part, beat->length);
}

static void count_beat(const struct beat *beat, struct eh_reading_place *places, size_t count,
                       eh_ticks offset, syllable_of syllable) {
    const eh_ticks half = beat->length / 2;
    const bool thirds = beat->thirds && !only_halves(places, count, beat, offset);
    const bool halves[2] = {has_thirds(places, count, beat->from, half, offset),
                            has_thirds(places, count, beat->from + half, half, offset)};
    for (size_t i = 0; i < count; i++) {
        const eh_ticks part = places[i].at + offset - beat->from;
        char *out = syllable(&places[i]);
        if (part == 0) {
            (void)snprintf(out, EH_COUNT_TEXT, "%u", beat->number % 1000u);
            continue;
        }
        const char *word =
            thirds ? by_thirds(part, beat->length) : in_half(part, beat, halves[part >= half]);
        (void)snprintf(out, EH_COUNT_TEXT, "%s", word);
    }
}

/* Whether thirds of the whole beat are what stands in it: its thirds, and no sixth or quarter that
 * would need another division. */
static bool whole_thirds(const struct eh_reading_place *places, size_t count, eh_ticks from,
                         eh_ticks length, eh_ticks offset) {
    for (size_t i = 0; i < count; i++) {
        if (!falls_on(places[i].at + offset - from, length, 3)) {
            return false;
        }
    }
    return true;
}

static void count_in(const struct eh_reading_bar *bar, struct eh_reading_place *places,
                     size_t count, eh_ticks length, uint64_t thirds, syllable_of syllable) {
    size_t first = 0;
    while (first < count) {
        const eh_ticks number = (places[first].at + bar->offset) / length;
        struct beat beat = {.length = length,
                            .from = number * length,
                            .number = (unsigned)number + 1,
                            .thirds = false};
        size_t end = first;
        while (end < count && places[end].at + bar->offset < beat.from + length) {
            end++;
        }
        beat.thirds = (number < BEATS_WITH_A_BIT && (thirds >> number & 1) != 0) ||
                      whole_thirds(places + first, end - first, beat.from, length, bar->offset);
        count_beat(&beat, places + first, end - first, bar->offset, syllable);
        first = end;
    }
}

int reading_beat_of(const struct eh_reading_bar *bar, eh_ticks at) {
    return (int)(at / bar->beat);
}

void reading_count(const struct eh_reading_bar *bar, struct eh_reading_place *places, size_t count,
                   uint64_t thirds) {
    for (size_t i = 0; i < count; i++) {
        places[i].beat = (uint8_t)(reading_beat_of(bar, places[i].at + bar->offset) -
                                   reading_beat_of(bar, bar->offset));
    }
    count_in(bar, places, count, bar->beat, bar->dotted ? UINT64_MAX : thirds, count_of);
    if (bar->dotted) {
        count_in(bar, places, count, READING_WHOLE / bar->unit, 0, eighth_of);
    }
}
