/* Calibration: what a pad's velocities mean, what the pad cannot report, and how late it is.
 *
 * The player plays taps at written dynamics, pairs of strokes close together, and taps with the
 * click. Two parts, both pure and without allocation: the course, which says what is to be played
 * now, and the fit, which makes a struct eh_pad out of what was played. docs/calibration.md has the
 * reasons and the measured errors. One thread at a time. */
#ifndef EVENHAND_CALIBRATE_H
#define EVENHAND_CALIBRATE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/stats.h"
#include "evenhand/status.h"
#include "evenhand/time.h"

/* ---- The course ---- */

/* Every dynamic is visited more than once, the others in between: what a player places otherwise
 * from one time to the next is not seen within a row of taps. */
enum {
    EH_CALIBRATE_MARKS = 6,
    EH_CALIBRATE_VISITS = 2,
    EH_CALIBRATE_STEPS = EH_CALIBRATE_VISITS * EH_CALIBRATE_MARKS + 3
};

enum {
    EH_CALIBRATE_BAR = 4,        /* beats a bar */
    EH_CALIBRATE_COUNT_IN = 8,   /* beats before a step: time to read what comes */
    EH_CALIBRATE_TAPS = 8,       /* a step, where nothing is asked for */
    EH_CALIBRATE_TAPS_LEAST = 4, /* below this no step says anything */
    EH_CALIBRATE_TAPS_MOST = 32,
    EH_CALIBRATE_ATTEMPTS = 2, /* a step is repeated once */
    EH_CALIBRATE_SILENT = 3    /* silent attempts in a row that end the course */
};

#define EH_CALIBRATE_BPM 100.0
#define EH_CALIBRATE_BPM_LEAST 50.0
#define EH_CALIBRATE_BPM_MOST 140.0

enum eh_calibrate_kind {
    EH_CALIBRATE_LEVEL,  /* one tap on each click, at one dynamic */
    EH_CALIBRATE_CLOSE,  /* on each click a loud stroke, the other hand right behind it, fading */
    EH_CALIBRATE_DOUBLE, /* on each click a fast double stroke, the second one fading */
    EH_CALIBRATE_CLICK   /* one tap exactly with each click, at a medium level */
};

struct eh_calibrate_step {
    uint8_t kind;     /* enum eh_calibrate_kind */
    uint8_t mark;     /* LEVEL: 0 pp, 1 p, 2 mp, 3 mf, 4 f, 5 ff; else 0 */
    double height_in; /* LEVEL: stick height in inches; else 0 */
    int32_t taps;     /* beats that are to be played; whole bars */
};

/* "pp" .. "ff"; stick heights of 1, 3, 4.5, 6, 9 and 12 inches (common practice, no source). */
const char *eh_calibrate_mark_text(int mark);
double eh_calibrate_height_in(int mark);

/* The level that is meant, against mf: 20 log10(height / 6 in), amplitude in proportion to the
 * stick's height. That is this program's choice: energy in proportion to height would halve it. */
double eh_calibrate_written_db(int mark);

/* All-zero: 100 to the quarter, 8 taps a step, steps may be repeated. */
struct eh_calibrate_request {
    double bpm;    /* 0 = 100; EH_CALIBRATE_BPM_LEAST .. MOST */
    int32_t taps;  /* 0 = 8; EH_CALIBRATE_TAPS_LEAST .. MOST, rounded up to whole bars */
    bool recorded; /* a recording: every step once and at its full length, whatever is heard */
};

/* One attempt at a step, on the course's beats. */
struct eh_calibrate_span {
    int32_t step;       /* index into the steps */
    int32_t first_beat; /* the first one that is to be played */
    int32_t taps;       /* how many, on beats in a row */
    int32_t heard;      /* on how many of them a hit came */
};

enum eh_calibrate_end {
    EH_CALIBRATE_NOT_YET,
    EH_CALIBRATE_DONE,        /* every step was played */
    EH_CALIBRATE_FELL_SILENT, /* the player fell silent */
    EH_CALIBRATE_STOPPED      /* the user stopped it, or the port went away */
};

enum eh_calibrate_event_kind {
    EH_CALIBRATE_EVENT_COUNT_IN, /* STEP's count-in begins: say what comes */
    EH_CALIBRATE_EVENT_TAPS,     /* its taps begin */
    EH_CALIBRATE_EVENT_STEP,     /* it is over; SPAN says what was heard */
    EH_CALIBRATE_EVENT_AGAIN,    /* the same, and it will be repeated */
    EH_CALIBRATE_EVENT_OVER      /* the last event */
};

struct eh_calibrate_event {
    uint8_t kind; /* enum eh_calibrate_event_kind */
    int32_t step, attempt;
    struct eh_calibrate_span span; /* STEP and AGAIN */
};

/* Beats are numbered from 0, the first click, and lie beat_ns apart; bars have four of them and
 * never break off, so a click can be scheduled without knowing what will be played to it. */
struct eh_calibrate_course {
    struct eh_calibrate_step steps[EH_CALIBRATE_STEPS];
    int32_t step_count;
    int64_t beat_ns;
    bool recorded;

    /* The state. Read it through the functions below. */
    int32_t step, attempt; /* the one that is played, from 0 */
    struct eh_calibrate_span now;
    int32_t last_heard; /* beat of the last hit that counted */
    int32_t silent;     /* attempts in a row without a hit */
    uint8_t told;       /* of the attempt: 0 nothing, 1 its count-in, 2 its taps */
    uint8_t end;        /* enum eh_calibrate_end */
    bool over_told;
    struct eh_calibrate_span spans[EH_CALIBRATE_STEPS]; /* the attempt that counts, by step */
    int32_t span_count;
};

/* Errors: EH_OUT_OF_RANGE. */
EH_MUST_USE enum eh_status eh_calibrate_course_init(struct eh_calibrate_course *out_course,
                                                    const struct eh_calibrate_request *request,
                                                    struct eh_error *error);

/* A hit of the pad at AT_NS from the first click. */
void eh_calibrate_course_hit(struct eh_calibrate_course *course, int64_t at_ns);

/* The next event up to NOW_NS, before which all hits have been told; false when there is none.
 * After EH_CALIBRATE_EVENT_OVER there is none. */
bool eh_calibrate_course_next(struct eh_calibrate_course *course, int64_t now_ns,
                              struct eh_calibrate_event *out_event);

/* Ends it; an attempt of which at least half has been played counts as far as it went. */
void eh_calibrate_course_stop(struct eh_calibrate_course *course, int64_t now_ns);

bool eh_calibrate_course_is_over(const struct eh_calibrate_course *course);
enum eh_calibrate_end eh_calibrate_course_end(const struct eh_calibrate_course *course);

/* How many beats the course has when no step is repeated. */
int32_t eh_calibrate_course_beats(const struct eh_calibrate_course *course);

/* ---- The fit ---- */

struct eh_calibrate_input {
    const struct eh_calibrate_course *course; /* its steps, and which attempts count */
    const struct eh_hit *hits;                /* of the pad's, in order of time */
    size_t hit_count;
    const struct eh_tempo_map *click; /* beat N sounded at its tick N * EH_TICKS_PER_QUARTER */
    int64_t resolution_ns;            /* of the hits' times */
    const struct eh_pad *pad;         /* what is known so far: zones, names, and what stays where
                                         the taps do not suffice */
};

/* What became of a written dynamic. */
enum eh_calibrate_state {
    EH_CALIBRATE_CLEAR,
    EH_CALIBRATE_FEW,    /* too few taps were heard */
    EH_CALIBRATE_HIDDEN, /* the pad did not report many of them: what it did report is too loud */
    EH_CALIBRATE_AT_TOP, /* most of them at the pad's top */
    EH_CALIBRATE_MERGED  /* not told apart from its softer neighbour */
};

struct eh_calibrate_mark {
    uint8_t state;               /* enum eh_calibrate_state */
    uint32_t due, heard;         /* taps */
    struct eh_estimate velocity; /* median and its 90 % interval */
    struct eh_estimate level_db; /* of that velocity by the new map, 90 % interval; NAN unknown */
    double scatter_db;           /* of the taps, by the new map; NAN unknown */
    double at_top;               /* share of the taps at the highest velocity that came */
};

/* How a single figure came out. */
enum eh_calibrate_sure {
    EH_CALIBRATE_UNCLEAR, /* the taps do not suffice: the pad keeps what it had */
    EH_CALIBRATE_AT_MOST, /* the pad showed no such limit as far as was played: VALUE is how far */
    EH_CALIBRATE_FOUND
};

struct eh_calibrate_figure {
    uint8_t sure;                /* enum eh_calibrate_sure */
    struct eh_estimate estimate; /* with its 90 % interval; n = what it rests on */
};

/* Where the mask's line is told, ms after the first stroke. */
#define EH_CALIBRATE_MASK_TOLD_MS 40.0

/* Second strokes by the gap to the first. */
enum { EH_CALIBRATE_GAPS = 8 };
struct eh_calibrate_gap {
    double from_ms, to_ms;
    uint32_t n;        /* second strokes that were reported */
    double softest_db; /* the softest against its first stroke; of ten or more, the next one */
};

struct eh_calibration {
    struct eh_pad pad; /* the result */
    struct eh_calibrate_mark marks[EH_CALIBRATE_MARKS];
    bool levels_found;        /* the pad has a level map of its own now */
    bool scale_refused;       /* the dynamics differ too little against the spread of their taps, or
                                 beyond any pad's law: no map was made */
    struct eh_estimate scale; /* written dB a dB of the default law; NAN: not known */
    double spread_db;         /* of the taps about their dynamic, in written dB; NAN: not known */
    double velocity_step;     /* the pad's velocities come in steps of this; 1 = every number */

    struct eh_calibrate_figure floor;   /* velocity */
    struct eh_calibrate_figure top;     /* velocity */
    struct eh_calibrate_figure echo_ms; /* latest echo of a single stroke */
    struct eh_calibrate_figure echo_db; /* how much softer it is at least */
    uint32_t singles, echoes;           /* single strokes, and echoes among them */
    struct eh_calibrate_gap gaps[EH_CALIBRATE_GAPS];
    uint32_t pairs, hidden;                /* pairs that were due, second strokes not reported */
    struct eh_calibrate_figure dead_ms;    /* no softer second stroke nearer than this */
    struct eh_calibrate_figure mask_db;    /* softest second stroke that is reported at
                                             EH_CALIBRATE_MASK_TOLD_MS, against the first */
    struct eh_calibrate_figure mask_slope; /* by how much softer a ms later, dB */
    struct eh_calibrate_figure delay_ms;   /* hit less click */
    double click_spread_ms;                /* of the taps with the click */
};

/* Fits what was played. Never fails: where the taps do not suffice, the figure says unclear and
 * the pad keeps what INPUT's pad has. calibrated_utc_s is the caller's to fill in. */
void eh_calibrate_fit(const struct eh_calibrate_input *input, struct eh_calibration *out);

/* Isotonic regression: the not falling row nearest to Y by weighted squares, by pooling adjacent
 * violators (Ayer, Brunk, Ewing, Reid & Silverman 1955, Ann. Math. Statist. 26, 641-647; Barlow,
 * Bartholomew, Bremner & Brunk 1972, Statistical Inference under Order Restrictions). WEIGHTS > 0.
 * In place; BLOCKS (room for N) gets the number of values pooled into each block, WEIGHTS the sum
 * of each block's. Returns how many blocks there are. O(n). */
size_t eh_isotonic(double *y, double *weights, size_t n, size_t *blocks);

#endif
