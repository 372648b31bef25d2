/* How far a player shades what is written.
 *
 * Everything that is true of a player (player.h) is in his own written dB: what he plays as 3 dB
 * louder is 3 dB louder. What reaches the pad is that times his contrast, in dB of the stick. On a
 * pad that he did not calibrate a dB of his is taken for one of the stick. */
#ifndef MEASURE_SHADING_H
#define MEASURE_SHADING_H

#include "perform.h"

/* A player's contrast as he usually plays. How far players differ is not published: between 0.67
 * and 1.49 (assumed). */
double shading_draw(struct chance *chance);

/* That of one day, as a share of the usual one (assumed: SD 5 %, long-tailed). */
double shading_of_a_day(struct chance *chance);

/* A long-tailed error, SD 1 (Laplace). */
double shading_slip(struct chance *chance);

/* From a player's own dB to those of the stick. What is loudest fills the pad's range whoever
 * plays. */
void shade(struct blows *blows, double contrast);

#endif
