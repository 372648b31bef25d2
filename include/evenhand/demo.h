/* The demo player: plays a plan as a person would, with a named fault if asked to.
 *
 * Pure and repeatable: the same plan, request and seed give the same hits on any machine of IEEE
 * arithmetic. It knows nothing of the judge and shares no code with it. It allocates only when
 * making the row of hits.
 *
 * Its human scatter is that of professionals on an electronic kit, measured on the Groove MIDI
 * Dataset 1.0.0 (Gillick, Roberts, Engel, Eck and Bamman 2019, CC BY 4.0); docs/practice.md lists
 * the figures. Levels are in dB = 20 log10(velocity ratio). */
#ifndef EVENHAND_DEMO_H
#define EVENHAND_DEMO_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/plan.h"
#include "evenhand/status.h"
#include "evenhand/style.h"

enum eh_demo_fault_kind {
    EH_DEMO_NO_FAULT = 0,
    EH_DEMO_LATE_SECONDS, /* second strokes of doubles late, % of the gap */
    EH_DEMO_EARLY_SECONDS,
    EH_DEMO_SCATTERED_SECONDS, /* their spread, % of the gap */
    EH_DEMO_WEAK_SECONDS,      /* softer than usual, dB */
    EH_DEMO_STRONG_SECONDS,
    EH_DEMO_UNDER_ACCENTS,     /* lift of the accents, dB */
    EH_DEMO_OVERBLOWN_ACCENTS, /* lift of the accents, dB */
    EH_DEMO_STRONG_HAND,       /* all strokes of a hand louder, dB */
    EH_DEMO_LATE_HAND,         /* all strokes of a hand late, ms */
    EH_DEMO_UNEVEN_TAPS,       /* spread of the taps' level, dB */
    EH_DEMO_UNSTEADY,          /* spread of the timing, ms */
    EH_DEMO_RUSHING,           /* tempo at the end of a pass above the click's, % */
    EH_DEMO_DRAGGING,          /* below it */
    EH_DEMO_LATE,              /* everything late, ms */
    EH_DEMO_EARLY,
    EH_DEMO_MISSED,          /* strokes left out, % */
    EH_DEMO_EXTRA,           /* hits put in, % of the strokes */
    EH_DEMO_DOUBLE_TRIGGERS, /* echoes by the pad, % of the hits */
    EH_DEMO_LATE_START,      /* the first beats are not played, beats */
    EH_DEMO_STOP,            /* falls out in the middle and comes in again, beats */
    EH_DEMO_SKIP,            /* leaves beats out in the middle and plays on ahead, beats */
    EH_DEMO_REPEAT,          /* plays beats twice in the middle and goes on behind, beats */
    EH_DEMO_FLAT_FLAMS,      /* gap of the grace notes, ms */
    EH_DEMO_WIDE_FLAMS,
    EH_DEMO_LOUD_GRACES,       /* softer than the main note by only so much, dB */
    EH_DEMO_THIN_BUZZ,         /* notes a press */
    EH_DEMO_GAPPED_BUZZ,       /* a press ends so long before the next stroke, ms */
    EH_DEMO_FLAT_DYNAMICS,     /* share of the written contrast that is played, % */
    EH_DEMO_REVERSED_HAIRPINS, /* hairpins turned round */
    EH_DEMO_RIM,               /* strokes that hit the rim, % */
    EH_DEMO_FASTER,            /* a tempo of his own, % faster than the click's */
    EH_DEMO_SLOWER,            /* slower */
    EH_DEMO_RUBATO,            /* the tempo goes up and down in waves of eight bars, % */
    EH_DEMO_WAIT,              /* waits in the middle and goes on where he was, beats */
    EH_DEMO_OWN_TEMPO          /* in bars without a click: % faster; below 0: slower */
};

struct eh_demo_fault {
    uint8_t kind;     /* enum eh_demo_fault_kind */
    uint8_t side;     /* seconds, hands: enum eh_hand; else 0 */
    double size;      /* in the unit of the kind; NAN = the default */
    double above_bpm; /* shows only at tempi above this one, quarter notes a minute by the plan's
                         first bar; 0 = at all */
    int32_t
        first_bar; /* shows only in the written bars from .. to; 0 = in all of them. Stop, skip, */
    int32_t last_bar; /* repeat and wait happen at the bar line of the first */
};

/* A fault as it is named on the command line. */
struct eh_demo_name {
    const char *name; /* "late-left-seconds" */
    uint8_t kind;
    uint8_t side;
    double size;       /* default; NAN: follows from the style */
    double low, high;  /* allowed sizes */
    const char *unit;  /* "% of the gap", "dB" ... */
    const char *about; /* one line */
};

/* All names, in the order of a list; constant. */
const struct eh_demo_name *eh_demo_names(size_t *out_count);

/* Reads NAME[:SIZE][@TEMPO][/BARS]: a fault that shows only above TEMPO (20 to 400), and only in
 * the written BARS, "5" or "5-8". "" and "none" are no fault. An error names the nearest names, the
 * allowed sizes or tempi, or how bars are written. Errors: EH_NOT_FOUND, EH_OUT_OF_RANGE. */
EH_MUST_USE enum eh_status eh_demo_fault_read(struct eh_demo_fault *out_fault, const char *text,
                                              struct eh_error *error);

enum { EH_DEMO_FAULTS_MAX = 4 };

/* Several, with commas between them: "slower:8,late-left@92,missed/5-6". OUT_FAULTS has room for
 * EH_DEMO_FAULTS_MAX. Of several of one kind in one bar the first shows. Errors: as
 * eh_demo_fault_read; EH_OUT_OF_RANGE (too many). */
EH_MUST_USE enum eh_status eh_demo_faults_read(struct eh_demo_fault *out_faults, size_t *out_count,
                                               const char *text, struct eh_error *error);

/* All-zero is accepted: seed 0, no fault, rudimental accents on note 38. */
struct eh_demo_request {
    uint64_t seed;
    struct eh_demo_fault faults[EH_DEMO_FAULTS_MAX];
    size_t fault_count;
    const struct eh_style *style; /* accents suit it; NULL: rudimental, 4 to 12 dB */
    uint8_t note;                 /* of the pad's head; 0 = 38 */
    uint8_t rim_note;             /* 0 = 40 */
    uint8_t hand_notes[2];        /* by enum eh_hand; used when NOTES_SET */
    bool notes_set;               /* all four notes are given, 0 is a note too */
    const struct eh_pad *through; /* what the pad makes of the strokes: see demo_through.c; NULL: it
                                     reports all of them, in whole velocities. Must outlive the
                                     demo; its notes are not used */
    bool exact;                   /* no scatter and no habits at all: as written */
    const bool *silent; /* the plan's bars without a click, one each; NULL: none. Must outlive the
                           demo */
    bool no_click;      /* nobody else counts: a tempo of his own goes on from pass to pass */
    int32_t count_off;  /* so many taps, a beat apart, before the first bar line */
};

/* Takes the notes from PAD: pads for each hand where it has both, else the head, else any of its
 * notes; rim strokes on the rim, or where the others are. */
void eh_demo_take_notes(struct eh_demo_request *request, const struct eh_pad *pad);

struct eh_demo {
    const struct eh_plan *plan; /* not owned */
    struct eh_demo_request request;
    double lift_db;                       /* of an accent over the taps around it */
    double mark_db;                       /* between two neighbouring dynamic marks */
    double mf_db;                         /* level of a tap at mf, re velocity 127 */
    double offset_ns;                     /* the player's constant offset */
    double hand_ns[2], hand_db[2];        /* a hand's own habit */
    double second_share[2], second_db[2]; /* of its second strokes */
};

/* Makes a player for PLAN, which must outlive it. Errors: EH_OUT_OF_RANGE (a fault's size;
 * bars that the exercise does not have). */
EH_MUST_USE enum eh_status eh_demo_init(struct eh_demo *out_demo, const struct eh_plan *plan,
                                        const struct eh_demo_request *request,
                                        struct eh_error *error);

/* Adds every hit that the player plays to TAKE's hits, in order of time, on the plan's clock.
 * Whatever else TAKE holds is left alone. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_demo_hits(const struct eh_demo *demo, struct eh_take *take);

#endif
