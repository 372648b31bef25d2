/* A made-up player at a made-up pad, for the tests of the calibration: what he plays is known. It
 * shares no code with the fit, nor with the demo player. */
#ifndef EH_TESTS_TAPPER_H
#define EH_TESTS_TAPPER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/calibrate.h"

enum tapper_curve { CURVE_LAW, CURVE_STRAIGHT };

/* Levels are dB of the stick against a tap at mf. */
struct tapper_pad {
    const char *name;
    enum tapper_curve curve;
    double top_db;              /* the level at velocity 127 */
    double law;                 /* LAW: dB of level a dB of 20 log10(velocity) */
    double range;               /* STRAIGHT: velocity falls by 126 over so many dB */
    double bend_db, bend_at_db; /* LAW: an arch of so many dB beside it, 25 dB wide from there */
    double floor;               /* softer velocities are not reported */
    double top;                 /* louder ones are reported as this */
    double step;                /* velocities come in multiples of this */
    double echo_share, echo_ms, echo_db;
    double dead_ms, mask_db, mask_db_per_ms, mask_until_ms; /* mask_until_ms 0: no mask */
    double delay_ms;
};

struct tapper_player {
    double scatter_db; /* of every tap */
    double shading;    /* his contrast as a share of the written one, 1 = as written */
    double shading_sd; /* how far players differ in it, of its logarithm */
    double day_sd;     /* ... and one player from his own on another day */
    double placing_db; /* SD of a dynamic in one visit, long-tailed; a quarter of its square stays
                          for all visits of a calibration */
    double stroke_ms, wander_ms, keep;
    double left_out;            /* share of the taps */
    double close_ms, double_ms; /* gaps of the pairs */
    double fade_db;             /* how far the second strokes fade */
};

struct tapper_pad tapper_pad_of(const char *name, double law);
struct tapper_player tapper_player_usual(void);

/* The same with what players err by (docs/calibration.md). */
struct tapper_player tapper_player_as_known(void);

/* Velocity before the pad's floor, top and steps; and back. */
double tapper_velocity(const struct tapper_pad *pad, double level_db);
double tapper_level(const struct tapper_pad *pad, double velocity);

/* Plays COURSE's steps in order, each once. Hits in order of time; returns how many, at most ROOM.
 */
size_t tapper_play(const struct eh_calibrate_course *course, const struct tapper_pad *pad,
                   const struct tapper_player *player, uint64_t seed, struct eh_hit *hits,
                   size_t room);

/* A whole calibration of the default pad: course, hits, fit. ROWDY: repeats are allowed as live. */
void tapper_calibrate(const struct tapper_pad *pad, const struct tapper_player *player, int taps,
                      uint64_t seed, struct eh_calibration *out);

/* What a dB of his own marks is worth of the stick to the player of that seed, all days together.
 */
double tapper_contrast(const struct tapper_player *player, uint64_t seed);

/* Normal deviates from SEED, for tests that need no player. */
double tapper_normal(uint64_t *state);
double tapper_unit(uint64_t *state);

#endif
