/* A made-up player for the measures: hits whose strokes are known by construction, so that nothing
 * but the measures is tested. Figures: professional playing on an electronic kit, Groove MIDI
 * Dataset 1.0.0 (Gillick et al. 2019, CC BY 4.0). */
#ifndef EVENHAND_TESTS_MEASURE_PLAYER_H
#define EVENHAND_TESTS_MEASURE_PLAYER_H

#include <stddef.h>
#include <stdint.h>

#include "evenhand/exercise.h"
#include "evenhand/judgement.h"

struct player {
    /* Scatter. */
    double wander_ms; /* slow: each stroke keeps KEEP of the last one's */
    double keep;
    double stroke_ms; /* a stroke's own */
    double second_ms; /* of a second stroke about its place in the span */
    double tap_db, accent_db;
    double flam_log; /* SD of the logarithm of a flam's gap */
    double grace_db;
    double tail; /* share of strokes with threefold scatter */
    /* Way of playing. */
    double offset_ms;
    double base_db; /* level of mf */
    double mark_db; /* of a dynamic mark */
    double lift_db; /* of an accent */
    double flam_ms, drag_ms, grace_soft_db;
    double buzz_notes; /* mean notes a press */
    /* Faults; index: hand. */
    int32_t from_bar, to_bar; /* the next four only in these written bars; 0: everywhere */
    double second_late[2];    /* as a share of the span */
    double second_db[2];
    double hand_late_ms[2];
    double hand_db[2];
    double start_percent, end_percent; /* tempo against the click */
    double missed, extra;              /* shares */
    double place_db;                   /* of one place in the beat ... */
    eh_ticks place;
    bool flat_dynamics, flat_hairpins;
    double rim;         /* share of accents on the rim */
    bool fine_velocity; /* levels are not rounded to 127 steps */
    bool pad_hides;     /* masks and merges as a pad does */
};

struct player professional(void);
struct player learner(void);
struct player machine(void); /* no scatter at all */

struct run {
    struct eh_exercise *exercise;
    struct eh_tempo_map click;
    struct eh_plan plan;
    struct eh_pad pad;
    struct eh_style style;
    struct eh_hit *hits;
    struct eh_match *matches;
    struct eh_fate *fates;
    double *at; /* scratch: when each stroke is played, ms */
    size_t hit_count;
    int64_t resolution_ns;
    struct eh_judgement judgement;
};

/* Aborts on a mistake in the text. STYLE: a shipped one. */
void run_open(struct run *run, const char *exercise, double bpm, int passes, const char *style);
void run_close(struct run *run);

/* Plays and judges. The same seed gives the same run. */
void run_play(struct run *run, const struct player *player, uint64_t seed);
void run_judge(struct run *run);

/* NULL when absent. */
const struct eh_finding *run_find(const struct run *run, enum eh_aspect aspect, enum eh_side side);

#endif
