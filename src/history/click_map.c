#include <stdlib.h>

#include "store_parts.h"

/* A click that is kept: its tick and how far it sounded from its nominal time. */
struct point {
    eh_ticks at;
    int64_t deviation_ns;
};

static bool within(int64_t value, int64_t limit) {
    return value >= -limit && value <= limit;
}

static bool is_sane(const struct eh_run_click *click) {
    return within(click->at, EH_CLICK_TICKS_MAX) && within(click->at_ns, EH_CLICK_NS_MAX);
}

static size_t keep_rising(struct point *points, const struct eh_run_click *clicks, size_t n,
                          const struct eh_tempo_map *nominal) {
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        if (is_sane(&clicks[i]) && (kept == 0 || clicks[i].at > points[kept - 1].at)) {
            points[kept++] = (struct point){
                clicks[i].at, clicks[i].at_ns - eh_tempo_map_ns(nominal, clicks[i].at)};
        }
    }
    return kept;
}

static int by_value(const void *a, const void *b) {
    const int64_t x = *(const int64_t *)a;
    const int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* The median deviation of the window around point I, moved inwards at the ends. */
static int64_t smoothed(const struct point *points, size_t count, size_t i) {
    const size_t width = count < EH_CLICK_WINDOW ? count : EH_CLICK_WINDOW;
    size_t first = i < width / 2 ? 0 : i - width / 2;
    first = first > count - width ? count - width : first;
    int64_t window[EH_CLICK_WINDOW];
    for (size_t k = 0; k < width; k++) {
        window[k] = points[first + k].deviation_ns;
    }
    qsort(window, width, sizeof window[0], by_value);
    const int64_t low = window[(width - 1) / 2];
    const int64_t high = window[width / 2];
    return low + (high - low) / 2;
}

/* The length of a quarter note between two points, rounded to the nearest; 0 where it makes no
 * sense. TICKS and NS are what lies between them; TICKS > 0. */
static int64_t slope(eh_ticks ticks, int64_t ns) {
    const int64_t longest_ns = 60 * EH_NS_PER_S;
    if (ns <= 0 || ns / ticks >= longest_ns / EH_TICKS_PER_QUARTER) {
        return 0;
    }
    return ns / ticks * EH_TICKS_PER_QUARTER +
           (ns % ticks * EH_TICKS_PER_QUARTER + ticks / 2) / ticks;
}

/* Appends a point: the segment before it gets the tempo that leads to it, its own is nominal until
 * the next comes. */
static enum eh_status lead_to(struct eh_tempo_map *map, eh_ticks at, int64_t at_ns,
                              int64_t ns_per_quarter) {
    const struct eh_tempo_segment *last = &map->segments[map->count - 1];
    const int64_t leading = slope(at - last->at, at_ns - last->at_ns);
    if (leading == 0) {
        return EH_OK;
    }
    const enum eh_status status = eh_tempo_map_append(map, last->at, last->at_ns, leading);
    return status == EH_OK ? eh_tempo_map_append(map, at, at_ns, ns_per_quarter) : status;
}

static enum eh_status draw(struct eh_tempo_map *map, const struct point *points, size_t count,
                           const struct eh_tempo_map *nominal, bool exact) {
    const int64_t ns_per_quarter = nominal->segments[0].ns_per_quarter;
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < count && status == EH_OK; i++) {
        const eh_ticks at = points[i].at;
        const int64_t at_ns = eh_tempo_map_ns(nominal, at) +
                              (exact ? points[i].deviation_ns : smoothed(points, count, i));
        if (map->count > 0) {
            status = lead_to(map, at, at_ns, ns_per_quarter);
            continue;
        }
        /* A quarter note of nominal tempo first: it is carried backwards from there. */
        status = eh_tempo_map_init(map, at - EH_TICKS_PER_QUARTER, at_ns - ns_per_quarter,
                                   ns_per_quarter);
        if (status == EH_OK) {
            status = eh_tempo_map_append(map, at, at_ns, ns_per_quarter);
        }
    }
    return status;
}

static enum eh_status draw_clicks(struct eh_tempo_map *map, const struct eh_run_click *clicks,
                                  size_t n, const struct eh_tempo_map *nominal, bool exact) {
    struct point *points = n > 0 ? malloc(n * sizeof *points) : NULL;
    if (points == NULL) {
        return n > 0 ? EH_NO_MEMORY : EH_OK;
    }
    const size_t kept = keep_rising(points, clicks, n, nominal);
    const enum eh_status status = draw(map, points, kept, nominal, exact);
    free(points);
    return status;
}

enum eh_status eh_click_map_from_times(struct eh_tempo_map *out_map,
                                       const struct eh_run_click *clicks, size_t n, int64_t zero_ns,
                                       int64_t ns_per_quarter, bool exact) {
    *out_map = (struct eh_tempo_map){0};
    if (!within(zero_ns, EH_CLICK_NS_MAX) || ns_per_quarter < 1000 ||
        ns_per_quarter > 60 * EH_NS_PER_S) {
        return EH_OUT_OF_RANGE;
    }
    struct eh_tempo_map nominal;
    enum eh_status status = eh_tempo_map_init(&nominal, 0, zero_ns, ns_per_quarter);
    if (status == EH_OK) {
        status = draw_clicks(out_map, clicks, n, &nominal, exact);
    }
    if (status == EH_OK && out_map->count == 0) {
        *out_map = nominal;
        return EH_OK;
    }
    eh_tempo_map_deinit(&nominal);
    if (status != EH_OK) {
        eh_tempo_map_deinit(out_map);
    }
    return status;
}
