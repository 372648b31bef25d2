/* Random players. They share no code with the program's own demo player. Invented data; scatter and
 * levels lie about what is known of professionals and beginners (docs/measures.md), and beyond. */
#ifndef TESTS_PROPERTIES_MUSICIAN_H
#define TESTS_PROPERTIES_MUSICIAN_H

#include <stddef.h>

#include "chance.h"
#include "evenhand/hit.h"
#include "evenhand/plan.h"

struct musician {
    double offset_ms, scatter_ms, wander_ms;
    double drift; /* 0.05: 5 % faster at the end */
    double second_late, second_db;
    double hand_ms[2], hand_db[2]; /* by enum eh_hand */
    double base_db, lift_db, mark_db, tap_db;
    double grace_ms, grace_db;
    double bounces;               /* of a press, mean */
    double missed, extra, echoed; /* shares of strokes */
    double rim;                   /* share of strokes on the rim */
    double foreign;               /* share of strokes that sound on another instrument too */
    int late_start;               /* strokes left out at the beginning */
    int stop_bar, stop_bars;      /* bars of rest instead of what is written; 0 bars: none */
    int skip_bar, skip_bars;      /* bars left out, the rest moves up */
    int repeat_bar;               /* a bar that is played twice; -1: none */
    int pause_bar;                /* before it, a bar of nothing; -1: none */
    int broken_off;               /* plan bars played at most; 0: all */
    int noise;                    /* hits at random instead of the exercise */
    int64_t step_ns;              /* the module's clock */
    bool fine;                    /* velocities with a fraction */
};

/* Somebody who plays the exercise as it is written, from a professional to a learner, with up to
 * one fault in the hands and a few strokes left out, added or doubled by the pad. */
struct musician musician_sane(struct chance *chance);

/* Anybody: also who stops, skips, repeats, hurries, or plays something else altogether. */
struct musician musician_any(struct chance *chance, const struct eh_plan *plan);

/* Appends what MUSICIAN makes of PLAN to TAKE, in rising order. Hits before the take's zero are
 * left out. */
void musician_play(const struct musician *musician, struct chance *chance,
                   const struct eh_plan *plan, struct eh_take *take);

#endif
