/* How well known pads are found again, over many runs. */
#ifndef EH_TESTS_RECOVERY_H
#define EH_TESTS_RECOVERY_H

#include "tapper.h"

struct recovery {
    double found;            /* share of the runs with a level map */
    double rms_db, worst_db; /* error of the map, mean taken out; worst: mean over runs */
    double level_covers, level_width_db;
    double scale_bias;   /* the map's differences against the true ones, over the whole range */
    double scale_sd;     /* what the map says of its differences ... */
    double scale_error;  /* ... and what those between taps and accents are off by, root mean
                            square of the logarithm */
    double scale_covers; /* how often its interval holds them */
    double floor, floor_found, floor_covers, top, top_found;
    double mask_bias, mask_sd, mask_found, mask_covers;
    double dead_bias, dead_sd, dead_found, dead_covers;
    double delay_bias, delay_sd, delay_covers;
};

size_t recovery_pad_count(void);
struct tapper_pad recovery_pad(size_t index);

struct recovery recover(const struct tapper_pad *pad, const struct tapper_player *player, int runs,
                        int taps);

#endif
