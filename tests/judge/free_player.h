/* A made-up player without a click, with known truth: his tempo goes his own way. Shares nothing
 * with the program's demo player nor with the search for a tempo. Invented data; the scatter is
 * that of professionals (docs/measures.md). */
#ifndef TESTS_JUDGE_FREE_PLAYER_H
#define TESTS_JUDGE_FREE_PLAYER_H

#include "evenhand/hit.h"
#include "player.h"

enum free_course { FREE_STEADY, FREE_DRIFT, FREE_STEP, FREE_RUBATO };

struct free_player {
    uint64_t seed;
    double bpm;        /* at the beginning */
    int course;        /* enum free_course */
    double amount;     /* of the course: 0.08 = 8 % faster at the end, or after the step, or at the
                          wave's crest */
    double wave_bars;  /* rubato: one wave */
    double wave_phase; /* of a turn at the beginning */
    double scatter_ms, wander_ms;
    double missed, extra, echoed; /* shares of strokes */
    double second_late[2];        /* of the spacing; index: hand */
    double begin_ms;              /* of the first bar line, or of the first tap */
    int taps;                     /* count-off, quarters */
    int halt_bar;                 /* a halt before this plan bar; -1 none */
    double halt_ms;
};

struct free_player free_player_default(uint64_t seed, double bpm);

/* PLAN gives the places of the strokes; its times are not looked at. OUT_MAP (an all-zero map) gets
 * the player's true beat. */
void free_player_play(const struct free_player *player, const struct eh_plan *plan,
                      struct performance *out, struct eh_tempo_map *out_map);

#endif
