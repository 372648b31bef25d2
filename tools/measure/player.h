/* A simulated player: everything that is true of one run before a single stroke is drawn.
 *
 * Professional figures are published measurements: Groove MIDI Dataset 1.0.0 (Gillick, Roberts,
 * Engel, Eck & Bamman 2019, CC BY 4.0), 10 drummers on an electronic kit with mesh heads, played to
 * a click. That is groove playing, not exercises, and holds no learners: a learner here is the same
 * with every scatter 1.3 to 1.6 times as wide, which is an assumption. */
#ifndef MEASURE_PLAYER_H
#define MEASURE_PLAYER_H

#include "chance.h"
#include "written.h"

enum player_kind { PLAYER_PROFESSIONAL, PLAYER_LEARNER, PLAYER_KINDS };

struct player {
    /* ---- Time, ms ---- */
    double offset_ms;       /* constant distance from the click, late positive */
    double own_ms;          /* SD of a stroke's own error, independent from stroke to stroke */
    double wander_ms;       /* SD of the slow part ... */
    double keep;            /* ... of which this share stays from a stroke to the next */
    double hand_late_ms[2]; /* of each hand; the second stroke of a double goes with its hand */
    double fault_late_ms[2];
    double accent_drag; /* the stroke after an accent comes later by this share of the spacing */
    double end_percent; /* tempo at the end against the click; grows evenly */
    /* ---- Doubles ---- */
    double second_ms;          /* 1.4826 MAD of a second stroke's error */
    double second_share[2];    /* where it lies on average beyond the middle, share of the span */
    double second_share_sd[2]; /* a scatter fault: SD, share of the span; 0 = SECOND_MS holds */
    double second_db[2];       /* against the first */
    double second_db_sd[2];
    /* ---- Levels, dB of velocity over 127 ---- */
    double base_db;    /* an unmarked stroke in mf */
    double mark_db;    /* of one dynamic mark */
    double hairpin_db; /* of one mark inside hairpins */
    double lift_db[2]; /* of an accent, by hand */
    double tap_sd, accent_sd;
    double hand_db[2];
    eh_ticks loud_place; /* place in the beat where unmarked strokes are louder by LOUD_DB */
    double loud_db;
    int passage_bar; /* one played bar (from 0) that is off by PASSAGE_DB */
    double passage_db;
    /* ---- Grace notes ---- */
    double flam_ms[2], flam_log_sd; /* geometric centre, by the main note's hand; SD of the log */
    double drag_ms[2], drag_log_sd; /* between neighbours */
    double soft_db[2], soft_sd;     /* main note over its grace notes */
    /* ---- Presses ---- */
    double notes_share[2][7]; /* how often a press has 1 .. 7 notes, by hand */
    double silence_ms[2]; /* a gapped roll: from the last bounce to the next press; 0: natural */
    double silence_sd_ms; /* of that, from press to press */
    /* ---- Counts ---- */
    double missed, extra;          /* shares of the strokes, by chance ... */
    int missed_count, extra_count; /* ... and so many exactly, of main strokes */
    double rim;                    /* share of accents that land on the rim */
};

const char *player_name(enum player_kind kind);

/* Draws a fault-free player for W under a style whose accents are to stand between LOW and HIGH dB
 * above the taps. */
void player_draw(struct player *out, enum player_kind kind, const struct written *w,
                 double accent_low_db, double accent_high_db, struct chance *chance);

/* Lowers the player's level as a whole until the loudest marks of W lie under the top of the pad's
 * range; to be called again after a fault has changed a level. */
void player_make_room(struct player *player, const struct written *w);

/* Mean notes a press of a hand. */
double player_notes(const struct player *player, int hand);

/* Makes a hand's presses of so many notes on average, in the least number of different counts. */
void player_set_notes(struct player *player, int hand, double mean);

#endif
