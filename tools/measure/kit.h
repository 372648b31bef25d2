/* A simulated pad: what it reports of the blows that reach it. */
#ifndef MEASURE_KIT_H
#define MEASURE_KIT_H

#include "evenhand/hit.h"
#include "perform.h"

struct kit {
    const char *name;
    double clock_ms; /* one step of its clock */
    bool masks;      /* hides soft notes after loud ones, as mesh heads do */
    double echoes;   /* share of hits that it reports twice */
    double floor_velocity;
    double gain_db;
    double curve;    /* velocity = 127 amplitude^curve: below 1 hot, above 1 dull */
    double merge_ms; /* a slow module reports notes nearer than this as one */
    bool told;       /* the judge is told the curve, the floor and the clock, as by a calibration */
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

/* BLOWS lie in order of time. */
void kit_report(const struct kit *kit, const struct blows *blows, struct chance *chance,
                struct reported *out);
void reported_free(struct reported *reported);

#endif
