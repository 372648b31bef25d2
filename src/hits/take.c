#include "evenhand/hit.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct eh_metre_change common_time = {.at = 0, .beats = 4, .unit = 4};

enum eh_status eh_take_init(struct eh_take *take, const char *source, struct eh_metre_change metre,
                            int64_t at_ns, int64_t ns_per_quarter) {
    *take = (struct eh_take){.resolution_ns = 1};
    (void)snprintf(take->source, sizeof take->source, "%s", source);
    enum eh_status status = eh_tempo_map_init(&take->click, metre.at, at_ns, ns_per_quarter);
    if (status == EH_OK) {
        status = metre.at > 0 ? EH_OUT_OF_RANGE : eh_take_add_metre(take, metre);
    }
    if (status != EH_OK) {
        eh_take_deinit(take);
    }
    return status;
}

void eh_take_deinit(struct eh_take *take) {
    free(take->hits);
    free(take->metres);
    eh_tempo_map_deinit(&take->click);
    *take = (struct eh_take){0};
}

static enum eh_status reserve_hit(struct eh_take *take) {
    if (take->count < take->capacity) {
        return EH_OK;
    }
    const size_t capacity = take->capacity == 0 ? 64 : take->capacity * 2;
    struct eh_hit *grown = realloc(take->hits, capacity * sizeof *grown);
    if (grown == NULL) {
        return EH_NO_MEMORY;
    }
    take->hits = grown;
    take->capacity = capacity;
    return EH_OK;
}

enum eh_status eh_take_add(struct eh_take *take, const struct eh_hit *hit) {
    const struct eh_hit added = *hit; /* HIT may lie in the array that is about to move */
    const enum eh_status status = reserve_hit(take);
    if (status != EH_OK) {
        return status;
    }
    /* Late arrivals are rare and belong near the end, so walking back is cheap. */
    size_t place = take->count;
    while (place > 0 && take->hits[place - 1].at_ns > added.at_ns) {
        place--;
    }
    struct eh_hit *slot = take->hits + place;
    memmove(slot + 1, slot, (take->count - place) * sizeof *slot);
    *slot = added;
    take->count++;
    return EH_OK;
}

static bool metre_is_possible(struct eh_metre_change metre) {
    return metre.beats > 0 && metre.unit > 0 && (metre.unit & (metre.unit - 1)) == 0;
}

static enum eh_status reserve_metre(struct eh_take *take) {
    if (take->metre_count < take->metre_capacity) {
        return EH_OK;
    }
    const size_t capacity = take->metre_count == 0 ? 2 : take->metre_count * 2;
    struct eh_metre_change *grown = realloc(take->metres, capacity * sizeof *grown);
    if (grown == NULL) {
        return EH_NO_MEMORY;
    }
    take->metres = grown;
    take->metre_capacity = capacity;
    return EH_OK;
}

enum eh_status eh_take_add_metre(struct eh_take *take, struct eh_metre_change metre) {
    if (!metre_is_possible(metre)) {
        return EH_OUT_OF_RANGE;
    }
    size_t place = take->metre_count;
    while (place > 0 && take->metres[place - 1].at > metre.at) {
        place--;
    }
    if (place > 0 && take->metres[place - 1].at == metre.at) {
        take->metres[place - 1] = metre;
        return EH_OK;
    }
    const enum eh_status status = reserve_metre(take);
    if (status != EH_OK) {
        return status;
    }
    struct eh_metre_change *slot = take->metres + place;
    memmove(slot + 1, slot, (take->metre_count - place) * sizeof *slot);
    *slot = metre;
    take->metre_count++;
    return EH_OK;
}

eh_ticks eh_metre_bar(struct eh_metre_change metre) {
    return metre.beats * (4 * EH_TICKS_PER_QUARTER / metre.unit);
}

static size_t metre_count(const struct eh_take *take) {
    return take->metre_count == 0 ? 1 : take->metre_count;
}

static struct eh_metre_change metre_number(const struct eh_take *take, size_t i) {
    return take->metre_count == 0 ? common_time : take->metres[i];
}

static size_t metre_index(const struct eh_take *take, eh_ticks at) {
    size_t low = 0;
    size_t high = metre_count(take);
    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (take->metres[middle].at <= at) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

struct eh_metre_change eh_take_metre(const struct eh_take *take, eh_ticks at) {
    return metre_number(take, metre_index(take, at));
}

/* Whole and begun bars from one metre to the next. */
static eh_ticks bars_of_metre(const struct eh_take *take, size_t i) {
    const struct eh_metre_change metre = metre_number(take, i);
    const eh_ticks bar = eh_metre_bar(metre);
    return (take->metres[i + 1].at - metre.at + bar - 1) / bar;
}

static int to_int(eh_ticks value) {
    if (value > INT_MAX) {
        return INT_MAX;
    }
    return value < INT_MIN ? INT_MIN : (int)value;
}

void eh_take_locate(const struct eh_take *take, eh_ticks at, int *out_bar, eh_ticks *out_in_bar) {
    const size_t last = metre_index(take, at);
    eh_ticks bars = 1;
    for (size_t i = 0; i < last; i++) {
        bars += bars_of_metre(take, i);
    }
    const struct eh_metre_change metre = metre_number(take, last);
    const eh_ticks bar = eh_metre_bar(metre);
    const eh_ticks from = at - metre.at;
    const eh_ticks whole = from >= 0 ? from / bar : -((-from + bar - 1) / bar);
    *out_bar = to_int(bars + whole);
    *out_in_bar = from - whole * bar;
}

eh_ticks eh_take_bar_start(const struct eh_take *take, int bar) {
    eh_ticks left = (eh_ticks)bar - 1;
    size_t i = 0;
    while (i + 1 < metre_count(take) && left >= bars_of_metre(take, i)) {
        left -= bars_of_metre(take, i);
        i++;
    }
    const struct eh_metre_change metre = metre_number(take, i);
    return metre.at + left * eh_metre_bar(metre);
}
