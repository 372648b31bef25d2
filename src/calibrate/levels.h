/* The steps of the level fit, each in a file of its own. */
#ifndef EH_CALIBRATE_LEVELS_H
#define EH_CALIBRATE_LEVELS_H

#include "parts.h"

/* How far a player is trusted, and a pad's law to be near the default one. All are this program's
 * choices, no source; docs/calibration.md gives the reasons. */
static const double eh_shading_sd = 0.25; /* of the logarithm of a player's contrast against the
                                             written one */
static const double eh_law_sd = 0.55;     /* of the logarithm of a pad's law against the default */
static const double eh_placing_db = 1.0;  /* of a single dynamic about the player's own contrast */
static const double eh_shape_db = 2.0;    /* of a pad's curve about a law */
static const double eh_scale_most = 2.0;  /* no law is stretched or squeezed by more: those that
                                             standards name are 20 and 40 log10 */
static const double eh_scale_silly = 3.0; /* beyond this the player's contrast is not believed */

/* A written dynamic with what it rests on. */
struct eh_knot {
    int mark;
    double log_velocity; /* of its median */
    double law_db;       /* of that by the default law */
    double written_db;
    double weight; /* taps */
    size_t block;  /* of marks that are not told apart, from 0 */
    double level_db, level_se;
};

struct eh_levels {
    struct eh_taps taps[EH_CALIBRATE_MARKS];
    double step;                              /* of the velocities */
    double highest;                           /* velocity */
    struct eh_knot knots[EH_CALIBRATE_MARKS]; /* rising velocity */
    size_t count, blocks;
    double scale;  /* dB a dB of the default law */
    double tap_sd; /* dB */
};

/* Velocities and state of each mark, and the knots that can be used. */
void eh_levels_read(const struct eh_calibrate_input *input, struct eh_levels *levels,
                    struct eh_calibration *out);

/* Pools what stands in the wrong order or is not told apart. */
void eh_levels_pool(struct eh_levels *levels, struct eh_calibration *out);

/* Draws the map's points through the knots. */
void eh_levels_draw(const struct eh_levels *levels, struct eh_level_map *out_map);

/* dB of the default law. */
double eh_law_db(double velocity);

#endif
