/* The level map: what a player plays as a written level is one. */
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

/* Weighted by what is known of each dynamic. */
static struct centre centre_of(const struct eh_levels *levels) {
    struct centre centre = {0};
    for (size_t i = 0; i < levels->count; i++) {
        const struct eh_knot *knot = &levels->knots[i];
        const double weight = 1.0 / eh_levels_error(levels, knot);
        centre.law_db += weight * knot->law_db;
        centre.written_db += weight * knot->written_db;
        centre.weight += weight;
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
            v[k] = scale * eh_levels_law_db(levels, taps->taps[k].velocity);
        }
        const double spread = eh_spread(v, taps->count, eh_calibrate_confidence).value;
        if (spread > 0) {
            spreads[n++] = spread;
        }
    }
    return n > 0 ? eh_median(spreads, n) : usual_tap_sd;
}

static int visits_of(const struct eh_levels *levels, int mark) {
    int n = 0;
    for (int i = 0; i < EH_CALIBRATE_VISITS; i++) {
        n += isfinite(levels->visits[mark][i]);
    }
    return n;
}

/* Half of a coarse pad's step, as dB at a knot. */
static double step_db(const struct eh_levels *levels, const struct eh_knot *knot) {
    const double uniform = levels->step / sqrt(12.0);
    return levels->scale * uniform * eh_levels_slope(levels, exp(knot->log_velocity));
}

double eh_levels_error(const struct eh_levels *levels, const struct eh_knot *knot) {
    const double step = step_db(levels, knot);
    return levels->visit_var / fmax(visits_of(levels, knot->mark), 1.0) + step * step;
}

/* What a visit errs by: as thought before, and as the visits of one dynamic differ. That a player
 * goes through all of them more loudly the second time is no error. */
static double find_visit_var(const struct eh_levels *levels) {
    double apart[EH_CALIBRATE_MARKS];
    double mean = 0.0;
    double taps = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < levels->count; i++) {
        const int mark = levels->knots[i].mark;
        taps += levels->knots[i].weight / fmax(visits_of(levels, mark), 1.0);
        if (visits_of(levels, mark) == EH_CALIBRATE_VISITS) {
            apart[n] = levels->scale * (eh_levels_law_db(levels, levels->visits[mark][1]) -
                                        eh_levels_law_db(levels, levels->visits[mark][0]));
            mean += apart[n++];
        }
    }
    const double tap_se =
        median_se * tap_spread(levels, levels->scale) / sqrt(taps / (double)levels->count);
    double sum = eh_placing_df * (eh_placing_db * eh_placing_db + tap_se * tap_se);
    double df = eh_placing_df;
    for (size_t i = 0; i < n && n > 1; i++) {
        const double d = apart[i] - mean / (double)n;
        sum += 0.5 * d * d;
        df += (double)(n - 1) / (double)n;
    }
    return sum / df;
}

/* How many written dB a dB of the default law is worth, from the taps alone. What errs is what was
 * played, so that is regressed on what was written. */
static struct eh_estimate find_scale(const struct eh_levels *levels, const struct centre *centre) {
    double across = 0;
    double written = 0;
    double taps = 0;
    for (size_t i = 0; i < levels->count; i++) {
        const struct eh_knot *knot = &levels->knots[i];
        const double weight = 1.0 / eh_levels_error(levels, knot);
        const double y = knot->written_db - centre->written_db;
        across += weight * (knot->law_db - centre->law_db) * y;
        written += weight * y * y;
        taps += knot->weight;
    }
    const double scale = written / across;
    const double log_se = 1.0 / sqrt(written);
    return (struct eh_estimate){.value = scale,
                                .low = scale * exp(-eh_calibrate_z * log_se),
                                .high = scale * exp(eh_calibrate_z * log_se),
                                .n = (size_t)taps};
}

/* The posterior mean of the logarithm of the law, given what was measured of it. */
static double draw_towards_default(const struct eh_estimate *scale) {
    const double law = eh_law_sd * eh_law_sd;
    const double se = log(scale->high / scale->low) / (2.0 * eh_calibrate_z);
    return exp(log(scale->value) * law / (law + se * se));
}

/* Inside a block nothing is known but the law, about the block's mean. */
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
        double share = out->pad.levels.scale_sd;
        for (size_t i = 0; i < levels->count; i++) {
            const bool own = levels->knots[i].mark == mark;
            se = own ? levels->knots[i].level_se : se; /* holds the law's own error */
            share = own ? eh_day_sd : share;
        }
        const double level = eh_pad_level_db(&out->pad, told->velocity.value);
        const double stretch = share * (level - mean_db);
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

/* A law of one shape, stretched to what was played. What the dynamics err by is in written dB, and
 * so rests on the law that rests on it: a few rounds are enough. */
struct law {
    struct centre centre;
    struct eh_estimate scale;
    double sd; /* of differences, as a share */
};

static struct law try_law(struct eh_levels *levels, bool straight) {
    struct law law = {0};
    levels->straight = straight;
    for (size_t i = 0; i < levels->count; i++) {
        struct eh_knot *knot = &levels->knots[i];
        knot->law_db = eh_levels_law_db(levels, exp(knot->log_velocity));
    }
    levels->scale = 1.0;
    levels->visit_var = eh_placing_db * eh_placing_db;
    for (int round = 0; round < 3; round++) {
        law.centre = centre_of(levels);
        law.scale = find_scale(levels, &law.centre);
        levels->scale = draw_towards_default(&law.scale);
        levels->visit_var = find_visit_var(levels);
    }
    law.sd = eh_levels_bend(levels, law.centre.law_db, law.centre.written_db);
    return law;
}

/* The likelier shape; most pads follow a law of the logarithm. Velocities are what was seen, so
 * that the likelihood is theirs: of a written dB times what the law rises by a velocity. */
static struct law find_law(struct eh_levels *levels, struct eh_calibration *out) {
    const struct law logarithmic = try_law(levels, false);
    const double likely = levels->likely;
    out->scale = logarithmic.scale;
    const struct law straight = try_law(levels, true);
    return levels->likely > likely + eh_straight_odds ? straight : try_law(levels, false);
}

static void fit(struct eh_levels *levels, struct eh_calibration *out) {
    const struct law law = find_law(levels, out);
    out->spread_db = tap_spread(levels, levels->scale);
    out->scale_refused =
        out->spread_db > eh_spread_most || fabs(log(out->scale.value)) > log(eh_scale_most);
    if (out->scale_refused) {
        return;
    }
    keep_law_in_blocks(levels);
    struct eh_level_map *map = &out->pad.levels;
    eh_levels_draw(levels, map);
    map->scale_sd = hypot(law.sd, eh_day_sd);
    (void)snprintf(map->name, sizeof map->name, "calibrated");
    out->levels_found = true;
    tell_levels(levels, law.centre.law_db, out);
}

void eh_fit_levels(const struct eh_calibrate_input *input, struct eh_calibration *out) {
    struct eh_levels levels = {0};
    eh_levels_read(input, &levels, out);
    eh_levels_pool(&levels, out);
    out->scale = (struct eh_estimate){NAN, NAN, NAN, 0};
    out->spread_db = NAN;
    if (levels.blocks >= BLOCKS_LEAST && range_of(&levels) >= range_least_db) {
        fit(&levels, out);
    }
    tell_scatter(&levels, out);
}
