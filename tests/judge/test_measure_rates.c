/* How often faults are found, how often the measures cry wolf or do not know, and whether intervals
 * cover: players with human scatter (figures beside measure_player.h), bounds a good deal wider
 * than what measure_figures prints, so that only a real loss of power fails. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "measure_player.h"

enum { RUNS = 200 };

#define A(x) EH_ASPECT_##x
#define V(x) EH_VERDICT_##x
#define D(x) EH_DIRECTION_##x

#define ROLL "metre: 4/4\n|: 16:R/L/R/L/ R/L/R/L/ R/L/R/L/ R/L/R/L/ :|"
#define SINGLES "metre: 4/4\n|: 16:RLRL RLRL RLRL RLRL :|"
#define ACCENTS "metre: 4/4\n|: 16:R>LRL RL>RL R>LRL RL>RL :|"
#define FLAMS "metre: 4/4\n|: 8:lR L rL R lR L rL R :|"
#define BUZZ "metre: 4/4\n|: 16:RzLzRzLz RzLzRzLz RzLzRzLz RzLzRzLz :|"

static const struct material {
    const char *name, *text, *style;
    double lift;
} materials[] = {
    {"roll", ROLL "x8", "rudimental", 7.5},
    {"doubles", "metre: 4/4\n|: 16:RRLL RRLL RRLL RRLL :|x8", "rudimental", 7.5},
    {"accents", ACCENTS "x8", "rudimental", 7.5},
    {"concert accents", ACCENTS "x8", "concert", 3.0},
    {"singles", SINGLES "x8", "concert", 3.0},
    {"paradiddles", "metre: 4/4\n|: 16:R>LRR L>RLL R>LRR L>RLL :|x8", "rudimental", 7.5},
    {"flams", FLAMS "x8", "rudimental", 7.5},
    {"buzz", BUZZ "x8", "concert", 3.0},
    {"marks", "metre: 4/4\n|: p 16:RLRL RLRL RLRL RLRL | f RLRL RLRL RLRL RLRL :|x4", "concert",
     3.0},
    {"hairpins",
     "metre: 4/4\n|: p cresc 16:RLRL RLRL RLRL RLRL | f dim RLRL RLRL RLRL RLRL | p RLRL RLRL RLRL "
     "RLRL :|x3",
     "concert", 3.0},
};

struct tally {
    int runs, fault, unclear;
};

static void clean_runs(const struct material *x, struct player p, double worst_fault) {
    struct tally t[EH_ASPECT_COUNT][3];
    struct run run;
    memset(t, 0, sizeof t);
    p.lift_db = x->lift;
    run_open(&run, x->text, 110, 1, x->style);
    for (int k = 0; k < RUNS; k++) {
        run_play(&run, &p, (uint64_t)k + 1);
        for (size_t i = 0; i < run.judgement.finding_count; i++) {
            const struct eh_finding *f = &run.judgement.findings[i];
            t[f->aspect][f->side].runs++;
            t[f->aspect][f->side].fault += f->fault == EH_FAULT_YES;
            t[f->aspect][f->side].unclear += f->fault == EH_FAULT_UNCLEAR;
        }
    }
    for (int a = 0; a < EH_ASPECT_COUNT; a++) {
        for (int s = 0; s < 3; s++) {
            cr_expect_leq(t[a][s].fault, worst_fault * RUNS, "%s, %s %s: %d false alarms", x->name,
                          eh_aspect_text((enum eh_aspect)a), eh_side_text((enum eh_side)s),
                          t[a][s].fault);
            cr_expect_leq(t[a][s].unclear, 0.08 * RUNS, "%s, %s %s: %d unclear", x->name,
                          eh_aspect_text((enum eh_aspect)a), eh_side_text((enum eh_side)s),
                          t[a][s].unclear);
        }
    }
    run_close(&run);
}

Test(measure_rates, a_fault_free_professional_gets_no_fault, .timeout = 60) {
    for (size_t i = 0; i < sizeof materials / sizeof materials[0]; i++) {
        clean_runs(&materials[i], professional(), 0.02);
    }
}

Test(measure_rates, a_fault_free_learner_gets_hardly_one, .timeout = 60) {
    for (size_t i = 0; i < sizeof materials / sizeof materials[0]; i++) {
        clean_runs(&materials[i], learner(), 0.05);
    }
}

static void late(struct player *p) {
    p->second_late[0] = 0.10;
}
static void early(struct player *p) {
    p->second_late[1] = -0.10;
}
static void wild(struct player *p) {
    p->second_ms = 0.30 * 125;
}
static void weak(struct player *p) {
    p->second_db[1] = -6;
}
static void under(struct player *p) {
    p->lift_db = 2.25;
}
static void over(struct player *p) {
    p->lift_db = 15;
    p->base_db = -18;
}
static void right_loud(struct player *p) {
    p->hand_db[1] = 6;
}
static void left_late(struct player *p) {
    p->hand_late_ms[0] = 20;
}
static void rush(struct player *p) {
    p->end_percent = 5;
}
static void dragging(struct player *p) {
    p->start_percent = p->end_percent = -5;
}
static void unsteady(struct player *p) {
    p->stroke_ms = 30;
}
static void rough(struct player *p) {
    p->tap_db = 7;
    p->base_db = -18;
}
static void place(struct player *p) {
    p->place_db = 8;
    p->place = EH_TICKS_PER_QUARTER / 2;
    p->base_db = -14;
}
static void flat(struct player *p) {
    p->flam_ms = 5;
}
static void wide(struct player *p) {
    p->flam_ms = 90;
}
static void loud(struct player *p) {
    p->grace_soft_db = 0;
}
static void thin(struct player *p) {
    p->buzz_notes = 1.5;
}
static void monotone(struct player *p) {
    p->flat_dynamics = true;
}

/* Twice the tolerance with 32 strokes a hand (16 for flams). ALONE: no other fault may come along
 * in more than one run of twenty. */
static const struct trial {
    const char *name, *text, *style;
    double bpm;
    void (*spoil)(struct player *p);
    enum eh_aspect aspect;
    enum eh_side side;
    double truth;
    enum eh_verdict verdict;
    enum eh_direction direction;
} trials[] = {
    {"late", ROLL "x4", "rudimental", 120, late, A(DIDDLE_SPACING), EH_SIDE_LEFT, 0.6, V(UNEVEN),
     D(LATE)},
    {"early", ROLL "x4", "rudimental", 90, early, A(DIDDLE_SPACING), EH_SIDE_RIGHT, 0.4, V(UNEVEN),
     D(EARLY)},
    {"weak", ROLL "x4", "rudimental", 120, weak, A(DIDDLE_LEVEL), EH_SIDE_RIGHT, -6, V(UNEVEN),
     D(WEAK)},
    {"left late", SINGLES "x4", "rudimental", 120, left_late, A(HAND_TIMING), EH_SIDE_BOTH, 20,
     V(UNMATCHED), D(LEFT_LATE)},
    {"left late in rolls", ROLL "x4", "rudimental", 120, left_late, A(HAND_TIMING), EH_SIDE_BOTH,
     20, V(UNMATCHED), D(LEFT_LATE)},
    {"left soft", SINGLES "x4", "rudimental", 120, right_loud, A(HAND_LEVEL), EH_SIDE_BOTH, -6,
     V(UNMATCHED), D(LEFT_SOFT)},
    {"left soft among accents", ACCENTS "x8", "rudimental", 120, right_loud, A(HAND_LEVEL),
     EH_SIDE_BOTH, -6, V(UNMATCHED), D(LEFT_SOFT)},
    {"rushing", SINGLES "x4", "rudimental", 120, rush, A(TEMPO), EH_SIDE_BOTH, 5, V(DRIFTING),
     D(RUSHING)},
    {"rushing in rolls", ROLL "x4", "rudimental", 120, rush, A(TEMPO), EH_SIDE_BOTH, 5, V(DRIFTING),
     D(RUSHING)},
    {"dragging", SINGLES "x8", "rudimental", 120, dragging, A(TEMPO), EH_SIDE_BOTH, -5, V(DRIFTING),
     D(DRAGGING)},
    {"unsteady", SINGLES "x4", "rudimental", 120, unsteady, A(TIMING), EH_SIDE_BOTH, NAN,
     V(UNSTEADY), D(NONE)},
    {"rough taps", SINGLES "x4", "rudimental", 120, rough, A(TAP_LEVEL), EH_SIDE_BOTH, NAN,
     V(UNEVEN), D(NONE)},
    {"a place", SINGLES "x8", "rudimental", 120, place, A(UNMARKED_ACCENT), EH_SIDE_RIGHT, NAN,
     V(STICKS_OUT), D(NONE)},
    {"flat marks", "metre: 4/4\n|: p 16:RLRL RLRL RLRL RLRL | f RLRL RLRL RLRL RLRL :|x4",
     "concert", 120, monotone, A(DYNAMICS), EH_SIDE_BOTH, 0, V(OFF), D(FLAT)},
};

/* Both hands have these, so the other hand's finding comes along. */
static const struct trial pairs[] = {
    {"scattered", ROLL "x4", "rudimental", 120, wild, A(DIDDLE_SPACING), EH_SIDE_LEFT, NAN,
     V(UNEVEN), D(SCATTERED)},
    {"under", ACCENTS "x8", "rudimental", 120, under, A(ACCENT), EH_SIDE_RIGHT, 2.25, V(UNDER),
     D(NONE)},
    {"over", ACCENTS "x8", "rudimental", 120, over, A(ACCENT), EH_SIDE_LEFT, 15, V(OVERBLOWN),
     D(NONE)},
    {"flat", FLAMS "x8", "rudimental", 100, flat, A(FLAM_GAP), EH_SIDE_LEFT, NAN, V(FLAT), D(NONE)},
    {"wide", FLAMS "x8", "rudimental", 100, wide, A(FLAM_GAP), EH_SIDE_RIGHT, 90, V(WIDE), D(NONE)},
    {"loud", FLAMS "x8", "rudimental", 100, loud, A(GRACE_LEVEL), EH_SIDE_RIGHT, 0, V(LOUD),
     D(NONE)},
    {"thin", BUZZ "x4", "concert", 120, thin, A(BUZZ), EH_SIDE_LEFT, 1.5, V(THIN), D(NONE)},
};

static void run_trial(const struct trial *x, bool alone) {
    struct run run;
    struct player p = professional();
    int right = 0;
    int covered = 0;
    int other = 0;
    x->spoil(&p);
    run_open(&run, x->text, x->bpm, 1, x->style);
    for (int k = 0; k < RUNS; k++) {
        run_play(&run, &p, (uint64_t)k + 1);
        const struct eh_finding *f = run_find(&run, x->aspect, x->side);
        cr_assert_not_null(f, "%s", x->name);
        right +=
            f->fault == EH_FAULT_YES && f->verdict == x->verdict && f->direction == x->direction;
        covered += f->low <= x->truth && x->truth <= f->high;
        bool more = false;
        for (size_t i = 0; i < run.judgement.finding_count; i++) {
            const struct eh_finding *g = &run.judgement.findings[i];
            more = more || (g->fault == EH_FAULT_YES && g->aspect != x->aspect);
            more = more || (alone && g->fault == EH_FAULT_YES && g != f);
        }
        other += more;
    }
    printf("%-24s found %5.1f %%  covered %5.1f %%  with others %4.1f %%\n", x->name,
           100.0 * right / RUNS, isnan(x->truth) ? NAN : 100.0 * covered / RUNS,
           100.0 * other / RUNS);
    cr_expect_geq(right, 0.92 * RUNS, "%s: found in %d of %d", x->name, right, RUNS);
    cr_expect_leq(other, 0.05 * RUNS, "%s: others in %d", x->name, other);
    cr_expect(isnan(x->truth) || (covered >= 0.76 * RUNS && covered <= 0.985 * RUNS),
              "%s: covered %d of %d", x->name, covered, RUNS);
    run_close(&run);
}

Test(measure_rates, a_fault_of_twice_the_tolerance_is_found_and_no_other, .timeout = 60) {
    for (size_t i = 0; i < sizeof trials / sizeof trials[0]; i++) {
        run_trial(&trials[i], true);
    }
}

Test(measure_rates, a_fault_of_both_hands_is_found_in_each, .timeout = 60) {
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        run_trial(&pairs[i], false);
    }
}

/* Four strokes of a hand in a row: errors that follow each other do not cancel between the hands as
 * they do in turns, and the interval must know. */
Test(measure_rates, the_hands_interval_knows_of_errors_that_follow_each_other, .timeout = 60) {
    enum { MANY = 500 };
    struct run run;
    struct player p = professional();
    int covered = 0;
    p.wander_ms = 12;
    p.stroke_ms = 3;
    p.keep = 0.6;
    run_open(&run, "metre: 4/4\n|: 16:RRRR LLLL RRRR LLLL :|x8", 120, 1, "rudimental");
    for (int k = 0; k < MANY; k++) {
        run_play(&run, &p, (uint64_t)k + 1);
        const struct eh_finding *f = run_find(&run, A(HAND_TIMING), EH_SIDE_BOTH);
        covered += f->low <= 0 && f->high >= 0;
    }
    printf("four in a row: covered %.1f %%\n", 100.0 * covered / MANY);
    cr_expect(covered >= 0.82 * MANY && covered <= 0.97 * MANY, "%d", covered);
    run_close(&run);
}
