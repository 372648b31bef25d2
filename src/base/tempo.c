#include "evenhand/time.h"

#include <math.h>
#include <stdlib.h>

/* Ticks and times beyond this (73 years of nanoseconds) are refused by a map and held at it by the
 * conversions: the sum or difference of any two of them fits 64 bits. */
static const int64_t farthest = INT64_C(1) << 61;

static int64_t hold(int64_t value) {
    if (value > farthest) {
        return farthest;
    }
    return value < -farthest ? -farthest : value;
}

/* a * b / c rounded to the nearest, ties away from zero, held within the farthest; b, c > 0. The
 * product of a tick count and nanoseconds a quarter passes 64 bits within minutes, so it is taken
 * in two parts. */
static int64_t scale(int64_t a, int64_t b, int64_t c) {
    const int64_t whole = a / c;
    const int64_t rest = a % c;
    const int64_t part = rest * b; /* |rest| < c; callers keep c * b below 2^62 */
    const int64_t half = part >= 0 ? c / 2 : -(c / 2);
    int64_t product = 0;
    if (__builtin_mul_overflow(whole, b, &product)) {
        return a > 0 ? farthest : -farthest;
    }
    return hold(hold(product) + (part + half) / c);
}

enum eh_status eh_tempo_map_init(struct eh_tempo_map *map, eh_ticks at, int64_t at_ns,
                                 int64_t ns_per_quarter) {
    *map = (struct eh_tempo_map){0};
    return eh_tempo_map_append(map, at, at_ns, ns_per_quarter);
}

static enum eh_status reserve(struct eh_tempo_map *map) {
    if (map->count < map->capacity) {
        return EH_OK;
    }
    const size_t capacity = map->capacity == 0 ? 4 : map->capacity * 2;
    struct eh_tempo_segment *grown = realloc(map->segments, capacity * sizeof *grown);
    if (grown == NULL) {
        return EH_NO_MEMORY;
    }
    map->segments = grown;
    map->capacity = capacity;
    return EH_OK;
}

/* An hour for a quarter note is far beyond any use and keeps every product within 64 bits. */
static const int64_t longest_quarter_ns = 3600 * EH_NS_PER_S;

enum eh_status eh_tempo_map_append(struct eh_tempo_map *map, eh_ticks at, int64_t at_ns,
                                   int64_t ns_per_quarter) {
    if (ns_per_quarter <= 0 || ns_per_quarter > longest_quarter_ns) {
        return EH_OUT_OF_RANGE;
    }
    if (at != hold(at) || at_ns != hold(at_ns)) {
        return EH_OUT_OF_RANGE;
    }
    if (map->count > 0) {
        struct eh_tempo_segment *last = &map->segments[map->count - 1];
        if (at == last->at && at_ns == last->at_ns) {
            last->ns_per_quarter = ns_per_quarter;
            return EH_OK;
        }
        if (at <= last->at || at_ns <= last->at_ns) {
            return EH_OUT_OF_RANGE;
        }
    }
    const enum eh_status status = reserve(map);
    if (status != EH_OK) {
        return status;
    }
    map->segments[map->count++] =
        (struct eh_tempo_segment){.at = at, .at_ns = at_ns, .ns_per_quarter = ns_per_quarter};
    return EH_OK;
}

enum eh_status eh_tempo_map_change(struct eh_tempo_map *map, eh_ticks at, int64_t ns_per_quarter) {
    return eh_tempo_map_append(map, at, eh_tempo_map_ns(map, at), ns_per_quarter);
}

enum eh_status eh_tempo_map_copy(struct eh_tempo_map *out_map, const struct eh_tempo_map *map) {
    *out_map = (struct eh_tempo_map){0};
    for (size_t i = 0; i < map->count; i++) {
        const struct eh_tempo_segment *s = &map->segments[i];
        const enum eh_status status =
            eh_tempo_map_append(out_map, s->at, s->at_ns, s->ns_per_quarter);
        if (status != EH_OK) {
            eh_tempo_map_deinit(out_map);
            return status;
        }
    }
    return EH_OK;
}

void eh_tempo_map_deinit(struct eh_tempo_map *map) {
    free(map->segments);
    *map = (struct eh_tempo_map){0};
}

static const struct eh_tempo_segment *segment_at(const struct eh_tempo_map *map, eh_ticks at) {
    size_t low = 0;
    size_t high = map->count;
    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (map->segments[middle].at <= at) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return &map->segments[low];
}

static const struct eh_tempo_segment *segment_at_ns(const struct eh_tempo_map *map, int64_t at_ns) {
    size_t low = 0;
    size_t high = map->count;
    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (map->segments[middle].at_ns <= at_ns) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return &map->segments[low];
}

int64_t eh_tempo_map_ns(const struct eh_tempo_map *map, eh_ticks at) {
    const struct eh_tempo_segment *s = segment_at(map, at);
    return hold(s->at_ns + scale(hold(at) - s->at, s->ns_per_quarter, EH_TICKS_PER_QUARTER));
}

eh_ticks eh_tempo_map_tick(const struct eh_tempo_map *map, int64_t at_ns) {
    const struct eh_tempo_segment *s = segment_at_ns(map, at_ns);
    return hold(s->at + scale(hold(at_ns) - s->at_ns, EH_TICKS_PER_QUARTER, s->ns_per_quarter));
}

int64_t eh_tempo_map_ns_per_quarter(const struct eh_tempo_map *map, eh_ticks at) {
    return segment_at(map, at)->ns_per_quarter;
}

int64_t eh_ns_per_quarter(double bpm) {
    return llround(fmin(60.0 * (double)EH_NS_PER_S / bpm, (double)farthest));
}

double eh_bpm(int64_t ns_per_quarter) {
    return 60.0 * (double)EH_NS_PER_S / (double)ns_per_quarter;
}
