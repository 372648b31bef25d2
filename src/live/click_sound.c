#include "click_sound.h"

#include <math.h>

/* Short, so that clicks never smear into each other at fast subdivisions; two partials that are not
 * in tune with each other, so that it is heard through a drum and not taken for a note. */
static const double LENGTH_S = 0.025, ATTACK_S = 0.0002, DECAY_S = 0.005, RELEASE_S = 0.004;
static const double PARTIAL = 2.63, PARTIAL_SHARE = 0.3;
static const double TAU = 6.28318530717958648;

struct voice {
    double hz, gain;
};

static const struct voice voices[EH_CLICK_SOUND_COUNT] = {
    [EH_CLICK_ACCENT] = {2150, 1.0},
    [EH_CLICK_BEAT] = {1430, 0.7},
    [EH_CLICK_SUB] = {950, 0.4},
};

size_t eh_click_sound_frames(double rate) {
    return (size_t)(LENGTH_S * rate);
}

/* A rise from (nearly) 0 to 1 within LENGTH, half a cosine. */
static double rise(double t, double length) {
    return t >= length ? 1 : 0.5 - 0.5 * cos(TAU / 2 * t / length);
}

static double envelope(double t, double end, double rate) {
    const double sharp = rise(t + 1 / rate, ATTACK_S + 1 / rate);
    return sharp * exp(-t / DECAY_S) * rise(end - t, RELEASE_S);
}

void eh_click_sound_render(float *samples, enum eh_click_sound sound, double rate, double volume) {
    const size_t frames = eh_click_sound_frames(rate);
    const struct voice *voice = &voices[sound];
    const double end = (double)(frames - 1) / rate;
    const double share = voice->hz * PARTIAL < rate / 2.2 ? PARTIAL_SHARE : 0;
    for (size_t i = 0; i < frames; i++) {
        const double t = (double)i / rate;
        /* From a crest, so that the onset does not wait for the first quarter wave. */
        const double tone =
            (1 - share) * cos(TAU * voice->hz * t) + share * cos(TAU * voice->hz * PARTIAL * t);
        samples[i] = (float)(volume * voice->gain * tone * envelope(t, end, rate));
    }
}
