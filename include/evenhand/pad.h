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

/* What a note may mean that is no stroke: the player's hands stay on the sticks. */
enum eh_control {
    EH_CONTROL_NONE = 0,
    EH_CONTROL_AGAIN, /* the same once more */
    EH_CONTROL_NEXT,  /* on to what comes next */
    EH_CONTROL_STOP,  /* the end */
    EH_CONTROL_COUNT
};

/* Level in dB as a function of velocity: straight lines between points of rising velocity. With no
 * points the default law applies; with one, the default law moved to pass through it. Outside the
 * points the nearest line is carried on. */
struct eh_level_map {
    char name[EH_PAD_NAME]; /* "default" or the calibration's name */
    size_t count;
    double velocity[EH_LEVEL_POINTS]; /* rising */
    double level_db[EH_LEVEL_POINTS]; /* not falling */
    double scale_sd; /* how far the map's dB may be stretched or squeezed: SD of the factor's
                        natural logarithm, so about one standard error of a difference of levels as
                        a share of it; 0 = taken as exact. 0.1 of the default map: a guess of how
                        far pads' curves leave it, no source */
};

struct eh_pad {
    char name[EH_PAD_NAME];
    uint8_t zones[128]; /* enum eh_zone by note; default 38 head, 40 rim, 37 cross-stick */
    uint8_t controls[EH_CONTROL_COUNT]; /* by enum eh_control: its note + 1, no zone's; 0 = none */
    int64_t retrigger_ns;       /* nearer than this, two notes are one stroke; default 10 ms */
    double retrigger_softer_db; /* later, an echo is softer by at least this; default 6 dB */
    int64_t retrigger_late_ns;  /* up to when there may be such an echo; default 30 ms */
    double rim_gate_velocity;   /* rim notes below this do not exist on the pad; default 91 */

    /* What the pad hides soon after a hit: nearer than mask_dead_ns a second note is reported only
     * if it is at least mask_dead_db louder than the first; from there to mask_until_ns only if it
     * is at least mask_db - mask_db_per_ms * gap louder. Mesh heads of the Groove MIDI Dataset
     * 1.0.0 (CC BY 4.0), measured: 10 ms, 8 dB, 1.8 dB, 0.21 dB/ms, 60 ms; these are the default.
     */
    int64_t mask_dead_ns;
    double mask_dead_db;
    double mask_db;
    double mask_db_per_ms;
    int64_t mask_until_ns;

    double floor_velocity; /* softest that the pad is known to report; 0 (default) = not known */
    double top_velocity;   /* from here on what is louder looks alike; default 127 */
    int64_t delay_ns;      /* constant delay from the click's sounding to the hit of a stroke that
                              was on it: sound, pad and cable; 0 (default) = not known */
    int64_t clock_ns;      /* step of the module's own clock: strokes are stamped in steps of this;
                              0 (default) = finer than what stamps them */
    int64_t calibrated_utc_s; /* when; seconds since 1970 UTC; 0 (default) = never */
    struct eh_level_map levels;
};

void eh_pad_init_default(struct eh_pad *pad);

/* dB, 0 at velocity 127 of the default map. VELOCITY 1 .. 128; what lies outside is clamped. */
double eh_pad_level_db(const struct eh_pad *pad, double velocity);

static inline bool eh_pad_owns(const struct eh_pad *pad, uint8_t note) {
    return note < 128 && pad->zones[note] != EH_ZONE_NONE;
}

static inline enum eh_control eh_pad_control(const struct eh_pad *pad, uint8_t note) {
    for (int control = EH_CONTROL_AGAIN; control < EH_CONTROL_COUNT; control++) {
        if (pad->controls[control] == note + 1) {
            return (enum eh_control)control;
        }
    }
    return EH_CONTROL_NONE;
}

/* How much louder than the hit before it (in dB; negative: how much softer it may be) a hit must be
 * GAP_NS later for the pad to report it; -INFINITY from mask_until_ns on. */
double eh_pad_mask_db(const struct eh_pad *pad, int64_t gap_ns);

/* Whether HIT stands at the pad's top: it was at least so loud, how loud is not known. */
static inline bool eh_pad_saturated(const struct eh_pad *pad, const struct eh_hit *hit) {
    return eh_hit_velocity(hit) >= pad->top_velocity;
}

/* What a stamp of a take whose own step is STAMP_NS is worth when this pad made it. */
static inline int64_t eh_pad_resolution_ns(const struct eh_pad *pad, int64_t stamp_ns) {
    return pad->clock_ns > stamp_ns ? pad->clock_ns : stamp_ns;
}

enum { EH_PAD_NO_NOTE = 255 };

/* The lowest note of a zone; EH_PAD_NO_NOTE when there is none. */
uint8_t eh_pad_note(const struct eh_pad *pad, enum eh_zone zone);

/* Removes the hits that are not the pad's; keeps order. */
void eh_pad_keep_own(const struct eh_pad *pad, struct eh_take *take);

/* Whether SECOND may be the pad's own echo of FIRST rather than a stroke, by time and level alone.
 * Pure; both hits are the pad's, SECOND is not earlier. With dt the time from FIRST to SECOND and
 * "softer" measured on the pad's level map, it may be one
 *   - when dt < retrigger_ns and SECOND is not louder than FIRST, or
 *   - when dt <= retrigger_late_ns and SECOND is softer by at least retrigger_softer_db.
 *
 * Two notes within retrigger_ns are one stroke in whatever order their levels come: when SECOND is
 * the louder one it is the stroke and FIRST the artefact (a stick brushing the head) or the grace
 * note of a flat flam. That cannot be told from two notes alone, so this function says false and
 * the follower, which knows what was due, decides.
 *
 * Why these defaults (common practice, no source): drum modules ship with mask times of about
 * 10 ms, and no hand or pair of hands places strokes nearer than that except in a flat flam. From
 * 10 to 30 ms real second notes exist: grace notes (softer *before* the main note, so never hit by
 * this rule) and the bounces of a press, each a decibel or three below the one before. Half the
 * velocity, 6 dB on the default map, lies below what a press loses from bounce to bounce, and a
 * good module masks a note that soft within 30 ms anyway; where one is reported all the same, the
 * pad's ringing is the likelier cause. After 30 ms doubles of fast rolls begin (32nds at 240 to
 * the minute are 31 ms apart) and nothing is taken for an echo. */
bool eh_pad_may_retrigger(const struct eh_pad *pad, const struct eh_hit *first,
                          const struct eh_hit *second);

#endif
