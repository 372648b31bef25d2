/* The map's points: straight lines on the logarithm of the velocity, as the default law is one,
 * close enough together that the map's own straight lines follow them. */
#include <math.h>

#include "levels.h"

/* Points between velocity 1 and 128; with the knots they fit into a map. Between two of them a law
 * of 20 log10 leaves its chord by 0.05 dB at most. */
enum { GRID = EH_LEVEL_POINTS - EH_CALIBRATE_MARKS };
static const double velocity_end = 128.0;

/* A point nearer than this to a knot says nothing of its own (a share of the velocity). */
static const double nearest = 0.01;

/* By how much the curve beside the law leaves the line between two knots. */
static double bulge(const struct eh_levels *levels, size_t i, double share) {
    const double low = levels->knots[i].law_level_db;
    const double high = levels->knots[i + 1].law_level_db;
    const double straight =
        (1.0 - share) * eh_levels_beside(levels, low) + share * eh_levels_beside(levels, high);
    return eh_levels_beside(levels, low + share * (high - low)) - straight;
}

/* The level at a velocity: between knots the curve, outside them the law as it was found. */
static double level_at(const struct eh_levels *levels, double log_velocity) {
    const struct eh_knot *knots = levels->knots;
    const size_t last = levels->count - 1;
    const double law = eh_levels_law_db(levels, exp(log_velocity));
    if (log_velocity <= knots[0].log_velocity) {
        return knots[0].level_db + levels->scale * (law - knots[0].law_db);
    }
    if (log_velocity >= knots[last].log_velocity) {
        return knots[last].level_db + levels->scale * (law - knots[last].law_db);
    }
    size_t i = 0;
    while (log_velocity > knots[i + 1].log_velocity) {
        i++;
    }
    const double length = knots[i + 1].law_db - knots[i].law_db;
    const double share = length > 0 ? (law - knots[i].law_db) / length : 0.5;
    return knots[i].level_db + share * (knots[i + 1].level_db - knots[i].level_db) +
           bulge(levels, i, share);
}

static void add_point(struct eh_level_map *map, double velocity, double level_db) {
    const bool rises =
        map->count == 0 || velocity > map->velocity[map->count - 1] * (1.0 + nearest);
    if (rises && map->count < EH_LEVEL_POINTS) {
        map->velocity[map->count] = velocity;
        map->level_db[map->count++] = level_db;
    }
}

/* A level never falls: where the player's contrast was drawn together and neighbours crossed, they
 * are pooled. */
static void make_monotone(struct eh_level_map *map) {
    double weights[EH_LEVEL_POINTS];
    size_t blocks[EH_LEVEL_POINTS];
    for (size_t i = 0; i < map->count; i++) {
        weights[i] = 1.0;
    }
    (void)eh_isotonic(map->level_db, weights, map->count, blocks);
}

void eh_levels_draw(const struct eh_levels *levels, struct eh_level_map *out_map) {
    out_map->count = 0;
    size_t next = 0; /* knot */
    for (int i = 0; i < GRID; i++) {
        const double grid = log(velocity_end) * i / (GRID - 1);
        for (; next < levels->count && levels->knots[next].log_velocity <= grid; next++) {
            const struct eh_knot *knot = &levels->knots[next];
            if (knot->log_velocity >= 0) {
                add_point(out_map, exp(knot->log_velocity), knot->level_db);
            }
        }
        add_point(out_map, exp(grid), level_at(levels, grid));
    }
    make_monotone(out_map);
}
