#include "evenhand/pad.h"

#include <math.h>
#include <stdio.h>

void eh_pad_init_default(struct eh_pad *pad) {
    *pad = (struct eh_pad){
        .retrigger_ns = 10 * EH_NS_PER_MS,
        .retrigger_softer_db = 6.0,
        .retrigger_late_ns = 30 * EH_NS_PER_MS,
        .rim_gate_velocity = 91.0,
        .mask_dead_ns = 10 * EH_NS_PER_MS,
        .mask_dead_db = 8.0,
        .mask_db = 1.8,
        .mask_db_per_ms = 0.21,
        .mask_until_ns = 60 * EH_NS_PER_MS,
        .top_velocity = 127.0,
        .levels = {.scale_sd = 0.1},
    };
    (void)snprintf(pad->name, sizeof pad->name, "default");
    (void)snprintf(pad->levels.name, sizeof pad->levels.name, "default");
    /* General MIDI names 37 side stick and 38 acoustic snare; 40 for the rim is common practice
     * among electronic kits, no source. */
    pad->zones[37] = EH_ZONE_CROSS;
    pad->zones[38] = EH_ZONE_HEAD;
    pad->zones[40] = EH_ZONE_RIM;
}

static double default_law_db(double velocity) {
    return 20.0 * log10(velocity / 127.0);
}

/* The first point of the line that covers VELOCITY; the outer lines reach to infinity. */
static size_t line_at(const struct eh_level_map *map, double velocity) {
    size_t i = 0;
    while (i + 2 < map->count && velocity > map->velocity[i + 1]) {
        i++;
    }
    return i;
}

double eh_pad_level_db(const struct eh_pad *pad, double velocity) {
    const struct eh_level_map *map = &pad->levels;
    const double v = fmin(fmax(velocity, 1.0), 128.0);
    if (map->count == 0) {
        return default_law_db(v);
    }
    if (map->count == 1) {
        return map->level_db[0] + default_law_db(v) - default_law_db(map->velocity[0]);
    }
    const size_t i = line_at(map, v);
    const double slope =
        (map->level_db[i + 1] - map->level_db[i]) / (map->velocity[i + 1] - map->velocity[i]);
    return map->level_db[i] + slope * (v - map->velocity[i]);
}

uint8_t eh_pad_note(const struct eh_pad *pad, enum eh_zone zone) {
    for (uint8_t note = 0; note < 128; note++) {
        if (pad->zones[note] == zone) {
            return note;
        }
    }
    return EH_PAD_NO_NOTE;
}

double eh_pad_mask_db(const struct eh_pad *pad, int64_t gap_ns) {
    if (gap_ns >= pad->mask_until_ns) {
        return -INFINITY;
    }
    if (gap_ns < pad->mask_dead_ns) {
        return pad->mask_dead_db;
    }
    return pad->mask_db - pad->mask_db_per_ms * (double)gap_ns / (double)EH_NS_PER_MS;
}

void eh_pad_keep_own(const struct eh_pad *pad, struct eh_take *take) {
    size_t kept = 0;
    for (size_t i = 0; i < take->count; i++) {
        if (eh_pad_owns(pad, take->hits[i].note)) {
            take->hits[kept++] = take->hits[i];
        }
    }
    take->count = kept;
}

bool eh_pad_may_retrigger(const struct eh_pad *pad, const struct eh_hit *first,
                          const struct eh_hit *second) {
    const int64_t dt_ns = second->at_ns - first->at_ns;
    if (dt_ns >= pad->retrigger_ns && dt_ns > pad->retrigger_late_ns) {
        return false; /* as nearly all are: their levels need not be looked up */
    }
    const double softer_db = eh_pad_level_db(pad, eh_hit_velocity(first)) -
                             eh_pad_level_db(pad, eh_hit_velocity(second));
    if (dt_ns < pad->retrigger_ns && softer_db >= 0.0) {
        return true;
    }
    return dt_ns <= pad->retrigger_late_ns && softer_db >= pad->retrigger_softer_db;
}
