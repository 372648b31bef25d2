/* The ladder: at which tempo to play next, until the tempo that is held is known.
 *
 * A pure state machine. It is told of each pass by its findings and answers what comes next and
 * why. It knows nothing of clicks, pads or files; what it is after a row of passes depends on that
 * row alone, so that a ladder of another day is built up again by telling it the passes that were
 * kept. docs/ladder.md has the rules and their reasons. One thread at a time; allocates only in
 * eh_ladder_init. */
#ifndef EVENHAND_LADDER_H
#define EVENHAND_LADDER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/held.h"
#include "evenhand/judgement.h"
#include "evenhand/pool.h"
#include "evenhand/status.h"

enum {
    EH_LADDER_RUNGS_MAX = 512,
    EH_LADDER_IN_A_ROW_MAX = 9,
    EH_LADDER_REASON = 240,
    EH_LADDER_KEYS = EH_ASPECT_COUNT * 3 /* an aspect of a side */
};

/* What is played at a tempo. */
enum eh_ladder_stage {
    EH_STAGE_PLAYED,      /* the exercise as it is written */
    EH_STAGE_HAND_MOTION, /* its hand motion (hand_motion.h); comes first where it is asked for */
    EH_STAGE_COUNT
};

/* All-zero but the tempi: all aspects, two in a row, no hand motion. */
struct eh_ladder_request {
    double from_bpm, to_bpm; /* EH_TEMPO_MIN .. EH_TEMPO_MAX, FROM not above TO */
    double step_bpm;         /* > 0 */
    uint32_t aspects;        /* bits 1 << enum eh_aspect that count; 0 = all that are judged */
    int32_t in_a_row;    /* clean passes that pass a tempo; 0 = 2; 1 .. EH_LADDER_IN_A_ROW_MAX */
    int32_t unclear_max; /* so many more passes are asked for where they are unclear; 0 = 3 */
    int32_t passes_max;  /* of a sitting; 0 = 40 */
    double seconds_max;  /* of a sitting; 0 = no limit */
    double least_n;      /* of the style (struct eh_style); 0 = 8 */
    bool hand_motion;    /* hand motion first, then the exercise, at each tempo */
};

/* A pass that was played. */
struct eh_ladder_pass {
    double bpm;
    uint8_t stage;         /* enum eh_ladder_stage */
    int32_t sitting;       /* from 1, never falling: which day or session it was played in */
    double seconds;        /* how long it took, count-in included */
    bool broken_off;       /* not played to its end: counts neither way */
    double level_scale_sd; /* of the pad that was judged with (struct eh_levels) */
    const struct eh_finding *findings; /* of its judgement; only read during the call */
    size_t finding_count;
};

/* Of one pass. Clean: nothing is at fault or unclear, but for what has too few strokes in one pass;
 * that the row's passes must show together before they lead up. */
enum eh_ladder_answer { EH_PASS_UNCLEAR, EH_PASS_CLEAN, EH_PASS_UNCLEAN };

enum eh_ladder_next {
    EH_LADDER_AGAIN,
    EH_LADDER_ON, /* the hand motion holds: now the exercise, at the same tempo */
    EH_LADDER_UP,
    EH_LADDER_BACK,
    EH_LADDER_DONE
};

enum eh_ladder_end {
    EH_LADDER_NOT_YET,
    EH_LADDER_TOP,     /* the highest tempo was passed */
    EH_LADDER_SETTLED, /* a tempo was passed and the next one failed twice */
    EH_LADDER_FLOOR,   /* the lowest tempo failed twice */
    EH_LADDER_PASSES,  /* PASSES_MAX of the sitting are used up */
    EH_LADDER_TIME     /* SECONDS_MAX are */
};

/* A fault that stopped a tempo. */
struct eh_ladder_fault {
    bool known;
    double bpm;
    uint8_t stage;                /* enum eh_ladder_stage */
    uint8_t aspect, side;         /* enum eh_aspect, enum eh_side */
    uint8_t verdict, direction;   /* enum eh_verdict, enum eh_direction */
    uint32_t passes;              /* that showed it */
    struct eh_estimate e;         /* over these; counts are sums */
    double limit_low, limit_high; /* NAN = open */
    char unit[EH_UNIT_TEXT];
};

struct eh_ladder_tally {
    double clean, unclean; /* answers: passes, and rows of unclear ones that were clear together;
                              those of earlier sittings for half, a quarter ... */
    uint32_t clean_passes, unclean_passes, unclear_passes; /* of all sittings */
    uint32_t failed;              /* visits of this sitting that led back */
    bool passed;                  /* in this sitting */
    struct eh_ladder_fault broke; /* why it failed last; not known once it was passed */
};

struct eh_ladder_rung {
    double bpm;
    struct eh_ladder_tally stages[EH_STAGE_COUNT];
};

/* What comes next, and why. */
struct eh_ladder_step {
    uint8_t next;                  /* enum eh_ladder_next */
    uint8_t end;                   /* DONE: enum eh_ladder_end */
    uint8_t stage;                 /* enum eh_ladder_stage */
    double bpm;                    /* DONE: where it would go on another day */
    uint8_t answer;                /* enum eh_ladder_answer of the last pass */
    int32_t clean;                 /* clean passes in a row at this tempo, as yet */
    int32_t needed;                /* of */
    struct eh_ladder_fault why;    /* what stood out in the last pass; BACK: of the visit */
    char reason[EH_LADDER_REASON]; /* one line */
};

struct eh_ladder_shown; /* a fault as the passes of a visit showed it */

struct eh_ladder {
    struct eh_ladder_request request; /* with its defaults filled in */
    struct eh_ladder_rung *rungs;     /* owned; rising */
    size_t rung_count;

    /* The state. */
    size_t rung; /* where to play next */
    struct eh_ladder_step step;
    int32_t sitting, passes; /* of the latest; passes of it */
    double seconds;
    int32_t visit_passes, visit_unclean; /* since this tempo was come to */
    int32_t row_passes, row_clean;       /* since the last pass that was not clean */
    struct eh_pool *row;                 /* owned; by key: what the row's passes found */
    struct eh_ladder_shown *shown;       /* owned; by key: the visit's faults */
    uint64_t set_aside; /* bits by key: what the pad or the clock keep from being judged, so that
                           more passes would not help (the latest pass) */
};

/* Errors: EH_NO_MEMORY, EH_OUT_OF_RANGE (a number outside its range, FROM above TO, more than
 * EH_LADDER_RUNGS_MAX tempi). The last tempo is TO, also where the steps do not lead to it. */
EH_MUST_USE enum eh_status eh_ladder_init(struct eh_ladder *out_ladder,
                                          const struct eh_ladder_request *request,
                                          struct eh_error *error);

/* An all-zero ladder is accepted. */
void eh_ladder_deinit(struct eh_ladder *ladder);

/* A sitting begins (from 1; one that is not above the latest changes nothing): it goes on where it
 * stood, hand motion first, with its passes and time to spend; what was passed is passed anew.
 * eh_ladder_pass does this by itself. */
void eh_ladder_resume(struct eh_ladder *ladder, int32_t sitting);

/* Tells of a pass; LADDER->step is then what comes next. A pass at another tempo or stage than was
 * asked for begins a visit there. Errors: EH_OUT_OF_RANGE (no such tempo or stage on this ladder;
 * nothing is changed). */
EH_MUST_USE enum eh_status
eh_ladder_pass(struct eh_ladder *ladder, const struct eh_ladder_pass *pass, struct eh_error *error);

/* The highest tempo that was passed in the latest sitting at STAGE; NAN: none. */
double eh_ladder_passed(const struct eh_ladder *ladder, enum eh_ladder_stage stage);

/* What broke first: the lowest tempo that failed and was not passed since. Not known: nothing. */
struct eh_ladder_fault eh_ladder_broke(const struct eh_ladder *ladder);

/* The answers of STAGE as held.h takes them, rising; room for EH_LADDER_RUNGS_MAX. Gives their
 * number. */
size_t eh_ladder_answers(const struct eh_ladder *ladder, enum eh_ladder_stage stage,
                         struct eh_held_answer *out_answers);

/* The tempo held at STAGE, from these. False: no pass was clean or unclean. */
bool eh_ladder_held(const struct eh_ladder *ladder, enum eh_ladder_stage stage,
                    struct eh_held *out_held);

/* "hand motion", "as written"; "again", "up" ...; "top reached" ... */
const char *eh_ladder_stage_text(enum eh_ladder_stage stage);
const char *eh_ladder_next_text(enum eh_ladder_next next);
const char *eh_ladder_end_text(enum eh_ladder_end end);

#endif
