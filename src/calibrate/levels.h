/* The steps of the level fit, each in a file of its own. */
#ifndef EH_CALIBRATE_LEVELS_H
#define EH_CALIBRATE_LEVELS_H

#include "parts.h"

/* What is thought before a tap is heard. All are this program's choices, no source;
 * docs/calibration.md gives the reasons. */
static const double eh_law_sd = 0.6;          /* of the logarithm of what a pad's law and a player's
                                                 contrast together make of the default */
static const double eh_placing_db = 1.0;      /* of a dynamic from one visit to the next ... */
static const double eh_placing_df = 6.0;      /* ... as surely as so many differences would tell */
static const double eh_straight_odds = 2.303; /* logarithm of ten: one pad that is straight in dB to
                                                 ten of a logarithmic law */
static const double eh_shape_db = 2.0;        /* of a level that no tap told */
static const double eh_day_sd = 0.05;     /* of the logarithm of a player's contrast, from the day
                                             of the calibration to another */
static const double eh_spread_most = 4.0; /* dB of the taps of one dynamic: beyond this a player's
                                             marks are no scale to judge him by */
static const double eh_scale_most = 8.0;  /* and no pad's law is so far from the default: straight
                                             in dB over 60 dB is 5.5 near the top */

enum { EH_LEVEL_KINDS = 3 }; /* of pads, by how far their curves bend */

/* A written dynamic with what it rests on. */
struct eh_knot {
    int mark;
    double log_velocity; /* of its median */
    double law_db;       /* of that by the shape of law that is tried */
    double written_db;
    double weight;       /* taps */
    size_t block;        /* of marks that are not told apart, from 0 */
    double law_level_db; /* by the law alone */
    double level_db, level_se;
    double pull[EH_LEVEL_KINDS]; /* on the curve beside the law */
};

struct eh_levels {
    struct eh_taps taps[EH_CALIBRATE_MARKS]; /* of all visits */
    double visits[EH_CALIBRATE_MARKS]
                 [EH_CALIBRATE_VISITS];       /* median of each, a velocity; NAN: not known */
    double step;                              /* of the velocities */
    double highest;                           /* velocity */
    struct eh_knot knots[EH_CALIBRATE_MARKS]; /* rising velocity */
    size_t count, blocks;
    double scale;     /* written dB a dB of the law that is tried */
    bool straight;    /* the law that is tried is straight in dB, not logarithmic */
    double likely;    /* logarithm of how likely what was played is by it, but for a constant */
    double visit_var; /* what one visit of a dynamic errs by, written dB squared */
};

/* Velocities and state of each mark, and the knots that can be used. */
void eh_levels_read(const struct eh_calibrate_input *input, struct eh_levels *levels,
                    struct eh_calibration *out);

/* Pools what stands in the wrong order or is not told apart. */
void eh_levels_pool(struct eh_levels *levels, struct eh_calibration *out);

/* The pad's curve beside the law that SCALE is: fills level_db and level_se, about level
 * LAW_MEAN_DB at the written level WRITTEN_MEAN_DB. Returns one standard error of a difference of
 * levels as a share of it. */
double eh_levels_bend(struct eh_levels *levels, double law_mean_db, double written_mean_db);

/* The curve beside the law, where the law says LAW_LEVEL_DB. */
double eh_levels_beside(const struct eh_levels *levels, double law_level_db);

/* What a dynamic errs by, written dB squared: its visits, and the steps of a coarse pad. */
double eh_levels_error(const struct eh_levels *levels, const struct eh_knot *knot);

/* Draws the map's points through the knots. */
void eh_levels_draw(const struct eh_levels *levels, struct eh_level_map *out_map);

/* dB of the default law. */
double eh_law_db(double velocity);

/* dB of the law that is tried before it is stretched, and what it rises by a velocity. */
double eh_levels_law_db(const struct eh_levels *levels, double velocity);
double eh_levels_slope(const struct eh_levels *levels, double velocity);

#endif
