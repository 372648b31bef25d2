/* The level map: the written levels, drawn a little towards the default law. */
#include <math.h>
#include <stdio.h>

#include "levels.h"

/* Fewer dynamics that are told apart, or a smaller written range, say too little about a law. */
enum { BLOCKS_LEAST = 3 };
static const double range_least_db = 6.0;

/* SE of a median against that of a mean: sqrt(pi / 2). */
static const double median_se = 1.2533141373155003;

/* What a player scatters by where it cannot be measured: professionals on a pad, Groove MIDI
 * Dataset 1.0.0 (CC BY 4.0), measured. */
static const double usual_tap_sd = 1.5;

struct centre {
    double law_db, written_db, weight;
};

static struct centre centre_of(const struct eh_levels *levels) {
    struct centre centre = {0};
    for (size_t i = 0; i < levels->count; i++) {
        const struct eh_knot *knot = &levels->knots[i];
        centre.law_db += knot->weight * knot->law_db;
        centre.written_db += knot->weight * knot->written_db;
        centre.weight += knot->weight;
    }
    centre.law_db /= centre.weight;
    centre.written_db /= centre.weight;
    return centre;
}

/* Spread of the taps about their medians, in dB of a law stretched by SCALE. */
static double tap_spread(const struct eh_levels *levels, double scale) {
    double spreads[EH_CALIBRATE_MARKS];
    size_t n = 0;
    for (size_t i = 0; i < levels->count; i++) {
        const struct eh_taps *taps = &levels->taps[levels->knots[i].mark];
        double v[EH_TAPS_ROOM];
        for (size_t k = 0; k < taps->count; k++) {
            v[k] = scale * eh_law_db(taps->taps[k].velocity);
        }
        const double spread = eh_spread(v, taps->count, eh_calibrate_confidence).value;
        if (spread > 0) {
            spreads[n++] = spread;
        }
    }
    return n > 0 ? eh_median(spreads, n) : usual_tap_sd;
}

/* How many written dB a dB of the default law is worth, from the taps alone. */
static struct eh_estimate find_scale(const struct eh_levels *levels, const struct centre *centre) {
    double across = 0;
    double square = 0;
    double written = 0;
    for (size_t i = 0; i < levels->count; i++) {
        const struct eh_knot *knot = &levels->knots[i];
        const double law = knot->law_db - centre->law_db;
        const double y = knot->written_db - centre->written_db;
        across += knot->weight * law * y;
        square += knot->weight * law * law;
        written += knot->weight * y * y;
    }
    const double scale = across / square;
    /* One dynamic's own error is far larger than what its taps' scatter leaves of it. */
    const double log_se =
        sqrt(eh_placing_db * eh_placing_db * centre->weight / (written * (double)levels->count));
    const double both = sqrt(log_se * log_se + eh_shading_sd * eh_shading_sd);
    return (struct eh_estimate){.value = scale,
                                .low = scale * exp(-eh_calibrate_z * both),
                                .high = scale * exp(eh_calibrate_z * both),
                                .n = (size_t)centre->weight};
}

/* The posterior mean of the logarithm of a pad's law, given what was measured of it, within what
 * laws there are. */
static double draw_towards_default(double scale) {
    const double law = eh_law_sd * eh_law_sd;
    const double player = eh_shading_sd * eh_shading_sd;
    return exp(log(scale) * law / (law + player));
}

static double hold_back(double scale) {
    return fmin(fmax(scale, 1.0 / eh_scale_most), eh_scale_most);
}

/* Its SD, and half of what was held back. */
static double scale_sd(double drawn) {
    const double law = eh_law_sd * eh_law_sd;
    const double player = eh_shading_sd * eh_shading_sd;
    const double held = 0.5 * log(drawn / hold_back(drawn));
    return sqrt(law * player / (law + player) + held * held);
}

/* Half of a coarse pad's step, as dB at a knot. */
static double step_db(const struct eh_levels *levels, const struct eh_knot *knot) {
    const double uniform = levels->step / sqrt(12.0);
    return levels->scale * 20.0 / log(10.0) * uniform / exp(knot->log_velocity);
}

/* The law through the knots, and of what a knot is beside it the share that is more likely the
 * pad's curve than the player's error. */
static void shape_knots(struct eh_levels *levels, const struct centre *centre, double measured) {
    const double squeeze = levels->scale / measured;
    for (size_t i = 0; i < levels->count; i++) {
        struct eh_knot *knot = &levels->knots[i];
        const double law = levels->scale * (knot->law_db - centre->law_db);
        const double beside = squeeze * (knot->written_db - centre->written_db) - law;
        const double tap_se = median_se * levels->tap_sd / sqrt(knot->weight);
        const double step_se = step_db(levels, knot);
        const double error = eh_placing_db * eh_placing_db + tap_se * tap_se + step_se * step_se;
        const double shape = eh_shape_db * eh_shape_db;
        knot->level_db = centre->law_db + law + beside * shape / (shape + error);
        knot->level_se = sqrt(error * shape / (shape + error));
    }
}

/* Inside a block nothing is known but the default law, about the block's mean. */
static void keep_law_in_blocks(struct eh_levels *levels) {
    for (size_t block = 0; block < levels->blocks; block++) {
        double law = 0;
        double level = 0;
        double weight = 0;
        for (size_t i = 0; i < levels->count; i++) {
            const struct eh_knot *knot = &levels->knots[i];
            if (knot->block == block) {
                law += knot->weight * knot->law_db;
                level += knot->weight * knot->level_db;
                weight += knot->weight;
            }
        }
        for (size_t i = 0; i < levels->count; i++) {
            struct eh_knot *knot = &levels->knots[i];
            if (knot->block == block) {
                knot->level_db = level / weight + levels->scale * (knot->law_db - law / weight);
            }
        }
    }
}

static double range_of(const struct eh_levels *levels) {
    double low = HUGE_VAL;
    double high = -HUGE_VAL;
    for (size_t i = 0; i < levels->count; i++) {
        low = fmin(low, levels->knots[i].written_db);
        high = fmax(high, levels->knots[i].written_db);
    }
    return high - low;
}

static void tell_levels(const struct eh_levels *levels, double mean_db,
                        struct eh_calibration *out) {
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        struct eh_calibrate_mark *told = &out->marks[mark];
        if (isnan(told->velocity.value)) {
            continue;
        }
        double se = eh_shape_db;
        for (size_t i = 0; i < levels->count; i++) {
            se = levels->knots[i].mark == mark ? levels->knots[i].level_se : se;
        }
        const double level = eh_pad_level_db(&out->pad, told->velocity.value);
        const double stretch = out->pad.levels.scale_sd * (level - mean_db);
        const double half = eh_calibrate_z * sqrt(se * se + stretch * stretch);
        told->level_db.value = level;
        told->level_db.low = level - half;
        told->level_db.high = level + half;
    }
}

static void tell_scatter(const struct eh_levels *levels, struct eh_calibration *out) {
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        const struct eh_taps *taps = &levels->taps[mark];
        double v[EH_TAPS_ROOM];
        for (size_t k = 0; k < taps->count; k++) {
            v[k] = eh_pad_level_db(&out->pad, taps->taps[k].velocity);
        }
        const double spread = eh_spread(v, taps->count, eh_calibrate_confidence).value;
        out->marks[mark].scatter_db = spread > 0 ? spread : NAN; /* 0: the steps hide it */
    }
}

static void fit(struct eh_levels *levels, struct eh_calibration *out) {
    const struct centre centre = centre_of(levels);
    out->scale = find_scale(levels, &centre);
    const double drawn = draw_towards_default(out->scale.value);
    levels->scale = hold_back(drawn);
    out->scale_limited = levels->scale != drawn;
    if (out->scale_limited && fabs(log(out->scale.value)) > log(eh_scale_silly)) {
        return;
    }
    levels->tap_sd = tap_spread(levels, levels->scale);
    shape_knots(levels, &centre, out->scale.value);
    keep_law_in_blocks(levels);
    struct eh_level_map *map = &out->pad.levels;
    eh_levels_draw(levels, map);
    map->scale_sd = scale_sd(drawn);
    (void)snprintf(map->name, sizeof map->name, "calibrated");
    out->levels_found = true;
    tell_levels(levels, centre.law_db, out);
}

void eh_fit_levels(const struct eh_calibrate_input *input, struct eh_calibration *out) {
    struct eh_levels levels = {0};
    eh_levels_read(input, &levels, out);
    eh_levels_pool(&levels, out);
    out->scale = (struct eh_estimate){NAN, NAN, NAN, 0};
    if (levels.blocks >= BLOCKS_LEAST && range_of(&levels) >= range_least_db) {
        fit(&levels, out);
    }
    tell_scatter(&levels, out);
}
