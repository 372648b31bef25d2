/* A simulated player calibrates a simulated pad. */
#ifndef MEASURE_CALIBRATING_H
#define MEASURE_CALIBRATING_H

#include "kit.h"
#include "player.h"

/* Plays the whole course and fits it: OUT_PAD is what the judge would use from then on. How far a
 * player's shading is off the written one is drawn as docs/calibration.md assumes it. */
void calibrate(const struct kit *kit, const struct player *player, struct chance *chance,
               struct eh_pad *out_pad);

#endif
