/* The sounds of the click, rendered before the stream starts. Pure. */
#ifndef EVENHAND_CLICK_SOUND_H
#define EVENHAND_CLICK_SOUND_H

#include <stddef.h>

#include "evenhand/click.h"

/* How long a sound is. */
size_t eh_click_sound_frames(double rate);

/* Fills SAMPLES with eh_click_sound_frames(RATE) samples. VOLUME 0 .. 1 is the amplitude of an
 * accent. The first sample is heard already, the last one is silent. */
void eh_click_sound_render(float *samples, enum eh_click_sound sound, double rate, double volume);

#endif
