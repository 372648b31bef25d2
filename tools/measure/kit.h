/* A simulated pad: what it reports of the blows that reach it. */
#ifndef MEASURE_KIT_H
#define MEASURE_KIT_H

#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "perform.h"

/* What the judge is told of a pad's levels and floor. */
enum told {
    TOLD_NOTHING,    /* the default map, and how uncertain that is */
    TOLD_EXACTLY,    /* the pad's own curve, and that it is exact */
    TOLD_MAP,        /* the pad's own curve as nearly as LAW_SD says, and the floor */
    TOLD_CALIBRATION /* what eh_calibrate_fit makes of a calibration by the same player */
};

struct kit {
    const char *name;
    double clock_ms; /* one step of its clock */
    bool masks;      /* hides soft notes after loud ones, as mesh heads do */
    double echoes;   /* share of hits that it reports twice */
    double floor_velocity;
    double gain_db;
    double curve;    /* velocity = 127 amplitude^curve: below 1 hot, above 1 dull */
    double law_sd;   /* a run's own curve lies about that: SD of the ratio's logarithm */
    double bends_db; /* an arch beside the curve, up to so many dB either way; the run's own once
                        drawn ... */
    double bends_from_db; /* ... and where it begins; it is 25 dB wide */
    double straight_db;   /* not 0: velocity falls evenly over so many dB instead */
    double step;          /* velocities come in multiples of this; 0 = 1 */
    double merge_ms;      /* a slow module reports notes nearer than this as one */
    uint8_t told;         /* enum told */
};

/* What became of it: the hits as the judge gets them, and what each one was. */
struct reported {
    struct eh_hit *hits; /* owned */
    struct blow *truth;  /* owned; one a hit */
    size_t count, capacity;
    uint32_t masked, saturated;
};

const struct kit *kit_list(size_t *out_count);
const struct kit *kit_named(const char *name); /* NULL: no such pad */

/* One pad of that kind: its law is drawn. */
struct kit kit_draw(const struct kit *kit, struct chance *chance);

/* What the judge knows of a pad of that kind before its law is drawn; by a calibration: nothing. */
void kit_describe(const struct kit *kit, struct eh_pad *out_pad);

/* The level of a blow that the pad reports as HIT, as near as whole velocities tell it. */
double kit_level_db(const struct kit *kit, const struct eh_hit *hit);

/* BLOWS lie in order of time. */
void kit_report(const struct kit *kit, const struct blows *blows, struct chance *chance,
                struct reported *out);
void reported_free(struct reported *reported);

#endif
