/* A run of a made-up player without a click, found and judged, for tests. */
#ifndef TESTS_JUDGE_FREE_RUN_H
#define TESTS_JUDGE_FREE_RUN_H

#include "evenhand/free_tempo.h"
#include "evenhand/judgement.h"
#include "free_player.h"

struct free_run {
    struct eh_plan plan; /* only the strokes' places count */
    struct performance p;
    struct eh_tempo_map truth; /* the player's true beat */
    struct eh_take take;
    struct eh_pad pad;
    struct eh_style style;
};

/* Plays EXERCISE. The take's own click is a wrong one: nothing may depend on it. */
void free_run_play(struct free_run *run, const struct eh_exercise *exercise,
                   const struct free_player *player);
void free_run_drop(struct free_run *run);

enum eh_status free_run_find(const struct free_run *run, int count_off,
                             struct eh_free_tempo *out_tempo, struct eh_error *error);

/* F of the strokes that the follower finds on a found tempo. */
double free_run_f(const struct free_run *run, const struct eh_free_tempo *tempo);

/* The true tempo between the first and the last stroke; HALT_MS is taken out. */
double free_run_bpm(const struct free_run *run, double halt_ms);

/* Judged without a click, and with the true beat for one. NULL when refused. */
struct eh_judgement *free_run_judge(const struct free_run *run, int count_off);
struct eh_judgement *free_run_judge_to_truth(const struct free_run *run);

const struct eh_finding *free_run_finding(const struct eh_judgement *judgement,
                                          enum eh_aspect aspect, enum eh_side side);

#endif
