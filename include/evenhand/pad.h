/* The pad: which notes are its own, how it reports a stroke, and how a velocity becomes a level.
 *
 * MIDI does not say what a velocity means in loudness, so every judgement of level goes through a
 * level map. The default is level = 20 log10(velocity / 127) dB: amplitude in proportion to the
 * velocity number. Under a 40 log10 law every figure in dB would double; which law holds for a
 * pad only a calibration can tell, and the map says which one is in force. */
#ifndef EVENHAND_PAD_H
#define EVENHAND_PAD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/status.h"

enum { EH_LEVEL_POINTS = 32, EH_PAD_NAME = 64 };

/* What a note of the pad stands for. */
enum eh_zone {
    EH_ZONE_NONE = 0, /* not this pad's */
    EH_ZONE_HEAD,
    EH_ZONE_RIM,   /* rim shot or struck rim */
    EH_ZONE_CROSS, /* cross-stick */
    EH_ZONE_LEFT,  /* a pad that only the left hand plays */
    EH_ZONE_RIGHT  /* a pad that only the right hand plays */
};

/* Level in dB as a function of velocity: straight lines between points of rising velocity. With no
 * points the default law applies. Times and levels outside the points: the nearest slope. */
struct eh_level_map {
    char name[EH_PAD_NAME]; /* "default" or the calibration's name */
    size_t count;
    double velocity[EH_LEVEL_POINTS]; /* rising */
    double level_db[EH_LEVEL_POINTS]; /* not falling */
};

struct eh_pad {
    char name[EH_PAD_NAME];
    uint8_t zones[128];         /* enum eh_zone by note; default 38 head, 40 rim, 37 cross-stick */
    int64_t retrigger_ns;       /* a second note nearer than this to a stroke is the pad's own echo
                                   if it is also softer; default 10 ms for any, see clean */
    double retrigger_softer_db; /* how much softer an echo is at least when it comes later */
    int64_t retrigger_late_ns;  /* up to when a softer note may still be an echo */
    double rim_gate_velocity;   /* rim notes below this do not exist on the pad; default 91 */
    struct eh_level_map levels;
};

void eh_pad_init_default(struct eh_pad *pad);

/* dB, 0 at velocity 127 of the default map. VELOCITY 1 .. 128. */
double eh_pad_level_db(const struct eh_pad *pad, double velocity);

static inline bool eh_pad_owns(const struct eh_pad *pad, uint8_t note) {
    return note < 128 && pad->zones[note] != EH_ZONE_NONE;
}

/* Removes the hits that are not the pad's; keeps order. */
void eh_pad_keep_own(const struct eh_pad *pad, struct eh_take *take);

/* How likely SECOND is the pad's own echo of FIRST rather than a stroke, by time and level alone:
 * true when it may be one. Pure; both hits are the pad's, SECOND is not earlier. */
bool eh_pad_may_retrigger(const struct eh_pad *pad, const struct eh_hit *first,
                          const struct eh_hit *second);

#endif
