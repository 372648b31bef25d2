/* Musical time and clock time, and the map from one to the other.
 *
 * Musical time is an exact count of ticks; 20160 = 64 * 9 * 5 * 7 ticks to a quarter note hold
 * 32nds, triplets, quintuplets and septuplets together with their halves (and 64ths, nested
 * triplets, doubled septuplets) without rounding. Clock time is signed 64-bit nanoseconds.
 *
 * A tempo map is a row of segments. Inside a segment time runs evenly; before the first segment
 * the first one's tempo is carried backwards, after the last one forwards. */
#ifndef EVENHAND_TIME_H
#define EVENHAND_TIME_H

#include <stddef.h>
#include <stdint.h>

#include "evenhand/status.h"

typedef int64_t eh_ticks;

#define EH_TICKS_PER_QUARTER ((eh_ticks)20160)
#define EH_NS_PER_MS INT64_C(1000000)
#define EH_NS_PER_S INT64_C(1000000000)

/* Quarter notes a minute that a practice may ask for. */
#define EH_TEMPO_MIN 20.0
#define EH_TEMPO_MAX 400.0

struct eh_tempo_segment {
    eh_ticks at;            /* where it begins; strictly rising from segment to segment */
    int64_t at_ns;          /* the clock time there; strictly rising */
    int64_t ns_per_quarter; /* > 0; the length of a quarter note inside it */
};

struct eh_tempo_map {
    struct eh_tempo_segment *segments; /* owned by the map */
    size_t count;                      /* >= 1 once initialised */
    size_t capacity;
};

/* A map of one tempo in which tick AT sounds at AT_NS. NS_PER_QUARTER > 0.
 * Errors: EH_NO_MEMORY, EH_OUT_OF_RANGE. */
EH_MUST_USE enum eh_status eh_tempo_map_init(struct eh_tempo_map *map, eh_ticks at, int64_t at_ns,
                                             int64_t ns_per_quarter);

/* Appends a segment; AT and AT_NS must lie after the last one's. When AT equals the last one's,
 * its tempo is replaced. Errors: EH_NO_MEMORY, EH_OUT_OF_RANGE. */
EH_MUST_USE enum eh_status eh_tempo_map_append(struct eh_tempo_map *map, eh_ticks at, int64_t at_ns,
                                               int64_t ns_per_quarter);

/* Appends a tempo that begins at AT, at the clock time that the map gives for AT. */
EH_MUST_USE enum eh_status eh_tempo_map_change(struct eh_tempo_map *map, eh_ticks at,
                                               int64_t ns_per_quarter);

EH_MUST_USE enum eh_status eh_tempo_map_copy(struct eh_tempo_map *out_map,
                                             const struct eh_tempo_map *map);

/* Frees what the map owns; an all-zero map is accepted. */
void eh_tempo_map_deinit(struct eh_tempo_map *map);

/* The clock time of a tick, rounded to the nearest nanosecond. */
int64_t eh_tempo_map_ns(const struct eh_tempo_map *map, eh_ticks at);

/* The tick nearest to a clock time. eh_tempo_map_tick(eh_tempo_map_ns(t)) == t while a tick
 * lasts at least a nanosecond. */
eh_ticks eh_tempo_map_tick(const struct eh_tempo_map *map, int64_t at_ns);

/* The length of a quarter note at a tick. */
int64_t eh_tempo_map_ns_per_quarter(const struct eh_tempo_map *map, eh_ticks at);

/* Quarter notes a minute to nanoseconds a quarter (nearest), and back. BPM > 0. */
int64_t eh_ns_per_quarter(double bpm);
double eh_bpm(int64_t ns_per_quarter);

/* The greatest common divisor; of a number and 0 that number. Neither below 0, not both 0
 * (Euclid, Elements VII, 2). */
static inline int64_t eh_common_divisor(int64_t a, int64_t b) {
    while (b != 0) {
        const int64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

#endif
