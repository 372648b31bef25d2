/* A simulated player calibrates a simulated pad. */
#ifndef MEASURE_CALIBRATING_H
#define MEASURE_CALIBRATING_H

#include "kit.h"
#include "player.h"

/* Plays the whole course and fits it: OUT_PAD is what the judge would use from then on. CONTRAST is
 * how the player usually shades (shading.h); on the day of the calibration he shades a little
 * otherwise, and each dynamic comes out a little off. */
void calibrate(const struct kit *kit, const struct player *player, double contrast,
               struct chance *chance, struct eh_pad *out_pad);

#endif
