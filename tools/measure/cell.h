/* A cell of the measurement: one exercise, tempo, player, pad, course and fault, played many times.
 * Cells know nothing of each other, so that they can be measured in any order and on any core. */
#ifndef MEASURE_CELL_H
#define MEASURE_CELL_H

#include "agree.h"
#include "faults.h"

enum section {
    SECTION_ALIGN,  /* which hit was which stroke */
    SECTION_DETECT, /* faults of known size */
    SECTION_CLEAN,  /* players without a fault */
    SECTION_COUNT
};

/* How the judge learns where the exercise begins. */
enum entry {
    ENTRY_PRACTICE, /* as in a practice: the count-in says it */
    ENTRY_FILE      /* as in a file: it has to be found */
};

/* What is laid over a player on top of the course, as shares and ms. */
struct mixture {
    const char *name;
    double missed, extra, echoes, end_percent, delay_ms;
};

struct spec {
    enum section section;
    enum entry entry;
    enum course course;
    const struct mixture *mixture; /* NULL: none */
    const struct fault *fault;     /* NULL: none */
    double size;                   /* of the fault, in tolerances */
    int strokes;                   /* a hand, as asked for; 0 where it is not the question */
    int bars;                      /* of the exercise, from its beginning; 0 = all */
    const char *exercise;          /* its name ... */
    const char *text;              /* ... and text; both outlive the cell */
    const char *other;             /* COURSE_OTHER: text of what is played instead */
    double bpm;
    enum player_kind player;
    const struct kit *kit;
    int runs;
};

struct aspect_tally {
    uint32_t runs;                   /* runs in which the aspect was judged at all */
    uint32_t alarms;                 /* runs with a fault in it, for whatever hand */
    uint32_t unclear;                /* runs with an unclear finding in it */
    uint32_t measured;               /* findings whose truth is known ... */
    uint32_t covered;                /* ... and inside the interval */
    double error_sum, error_squares; /* of value less truth */
};

struct cell {
    struct spec spec;
    /* ---- Results ---- */
    uint32_t played;     /* runs that were judged */
    uint32_t laid;       /* of them, on the course that was asked for */
    double alike;        /* COURSE_OTHER: how far the two exercises go together, see alike.h */
    uint32_t refused;    /* runs that the judge said do not hold the exercise */
    uint32_t failed;     /* runs that it could not judge for another reason */
    uint32_t impossible; /* 1: no hand could play this; nothing was run */
    struct agreement agreement;
    struct agreement known; /* of a matcher that knows what can be known; straight courses */
    bool presses;           /* it was the one that knows presses */
    double worst[STRICTNESS_COUNT];
    uint32_t below[STRICTNESS_COUNT]; /* runs with F below 0.99 */
    uint32_t named;                   /* runs whose course the judge named as it was */
    uint32_t called;                  /* runs in which it named any course */
    uint32_t right;                   /* the fault found, hand and way right */
    uint32_t hit;                     /* its aspect called a fault, however */
    uint32_t elsewhere;               /* a fault called in another aspect */
    struct aspect_tally aspects[EH_ASPECT_COUNT];
    struct aspect_tally aimed; /* the fault's own aspect and hand only */
};

const char *section_name(enum section section);

/* Measures a cell. The same SEED and spec give the same results. */
void cell_measure(struct cell *cell, uint64_t seed);

/* Prints one run of a cell, stroke by stroke and hit by hit: what was played and what the judge
 * took it for. RUN counts from 0. */
void cell_show(struct cell *cell, uint64_t seed, int run);

#endif
