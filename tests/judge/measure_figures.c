/* How well the measures find faults, how often they cry wolf, how often they do not know, and
 * whether their intervals cover: a table over made-up players. A measurement to be run by hand:
 *   measure_figures [RUNS [quiet|all [KEEP]]] */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "measure_player.h"

#define ROLL "metre: 4/4\n|: 16:R/L/R/L/ R/L/R/L/ R/L/R/L/ R/L/R/L/ :|"
#define DOUBLES "metre: 4/4\n|: 16:RRLL RRLL RRLL RRLL :|"
#define ACCENTS "metre: 4/4\n|: 16:R>LRL R>LRL RLRL> RLRL> | RL>RL RLR>L R>LRL> RLRL :|"
#define SINGLES "metre: 4/4\n|: 16:RLRL RLRL RLRL RLRL :|"
#define PARADIDDLES "metre: 4/4\n|: 16:R>LRR L>RLL R>LRR L>RLL :|"
#define FLAMS "metre: 4/4\n|: 8:lR L rL R lR L rL R :|"
#define DRAGS "metre: 4/4\n|: 4:llR rrL llR rrL :|"
#define BUZZ "metre: 4/4\n|: 16:RzLzRzLz RzLzRzLz RzLzRzLz RzLzRzLz :|"
#define DYNAMICS "metre: 4/4\n|: p 16:RLRL RLRL RLRL RLRL | f RLRL RLRL RLRL RLRL :|"
#define HAIRPIN                                                                                    \
    "metre: 4/4\n|: p cresc 16:RLRL RLRL RLRL RLRL | f dim RLRL RLRL RLRL RLRL | p RLRL RLRL "     \
    "RLRL RLRL :|"

struct tally {
    size_t runs, fault, right, unclear, covered, measured, finite;
    double sum, squares, half; /* of the values; of the intervals' half-widths */
};

typedef void (*spoil)(struct player *p);

static void tally_one(struct tally *t, const struct eh_finding *f, double truth, int verdict,
                      int direction) {
    t->runs++;
    t->fault += f->fault == EH_FAULT_YES;
    t->unclear += f->fault == EH_FAULT_UNCLEAR;
    t->right += f->fault == EH_FAULT_YES && f->verdict == verdict && f->direction == direction;
    if (isfinite(f->value) && isfinite(f->low)) {
        t->finite++;
        t->sum += f->value;
        t->squares += f->value * f->value;
        t->half += (f->high - f->low) / 2.0;
    }
    if (isfinite(truth) && isfinite(f->low)) {
        t->measured++;
        t->covered += f->low <= truth && truth <= f->high;
    }
}

static void print_row(const char *name, const struct tally *t) {
    double n = (double)t->runs;
    double k = (double)t->finite;
    double mean = t->sum / k;
    printf("  %-34s runs %5zu  right %5.1f  fault %5.1f  unclear %5.1f  covered %5.1f  mean %8.4g  "
           "sd %7.3g  half %7.3g\n",
           name, t->runs, 100.0 * (double)t->right / n, 100.0 * (double)t->fault / n,
           100.0 * (double)t->unclear / n,
           t->measured > 0 ? 100.0 * (double)t->covered / (double)t->measured : NAN, mean,
           sqrt(fmax(t->squares / k - mean * mean, 0.0)), t->half / k);
}

/* Every finding of clean runs: anything but "fine" is wrong. */
static void clean(const char *name, const char *text, double bpm, const struct player *p,
                  const char *style, int runs, bool quiet) {
    struct run run;
    struct tally t[EH_ASPECT_COUNT][3];
    memset(t, 0, sizeof t);
    run_open(&run, text, bpm, 1, style);
    for (int k = 0; k < runs; k++) {
        run_play(&run, p, (uint64_t)k + 1);
        for (size_t i = 0; i < run.judgement.finding_count; i++) {
            const struct eh_finding *f = &run.judgement.findings[i];
            tally_one(&t[f->aspect][f->side], f, NAN, 0, 0);
        }
    }
    printf("%s at %g, %zu strokes\n", name, bpm, run.plan.due_count);
    for (int a = 0; a < EH_ASPECT_COUNT; a++) {
        for (int s = 0; s < 3; s++) {
            struct tally *x = &t[a][s];
            double n = (double)x->runs;
            bool bad =
                x->runs > 0 && ((double)x->fault > 0.01 * n || (double)x->unclear > 0.05 * n);
            if (x->runs > 0 && (!quiet || bad)) {
                char row[64];
                snprintf(row, sizeof row, "%s %s", eh_aspect_text((enum eh_aspect)a),
                         eh_side_text((enum eh_side)s));
                print_row(row, x);
            }
        }
    }
    run_close(&run);
}

struct trial {
    const char *name, *text;
    double bpm;
    const char *style;
    spoil spoil;
    enum eh_aspect aspect;
    enum eh_side side;
    double truth;
    int verdict, direction;
};

static void second_late(struct player *p) {
    p->second_late[0] = 0.10;
}
static void second_early(struct player *p) {
    p->second_late[1] = -0.10;
}
static void second_weak(struct player *p) {
    p->second_db[0] = -6;
}
static void second_scatter(struct player *p) {
    p->second_ms = 0.30 * 125;
}
static void two_bars(struct player *p) {
    p->from_bar = 3;
    p->to_bar = 4;
}
static void second_late_there(struct player *p) {
    two_bars(p);
    p->second_late[0] = 0.15;
}
static void second_weak_there(struct player *p) {
    two_bars(p);
    p->second_db[0] = -7;
}
static void right_loud_there(struct player *p) {
    two_bars(p);
    p->hand_db[1] = 8;
}
static void left_late_there(struct player *p) {
    two_bars(p);
    p->hand_late_ms[0] = 35;
}
static void fine(struct player *p) {
    (void)p;
}
static void under(struct player *p) {
    p->lift_db = 2.25;
}
static void over(struct player *p) {
    p->lift_db = 15;
    p->base_db = -16;
}
static void one_mark(struct player *p) {
    p->lift_db = 3;
}
static void two_marks(struct player *p) {
    p->lift_db = 6;
}
static void three_marks(struct player *p) {
    p->lift_db = 9;
    p->base_db = -11;
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
static void rush_even(struct player *p) {
    p->start_percent = p->end_percent = 5;
}
static void drag(struct player *p) {
    p->end_percent = -5;
}
static void unsteady(struct player *p) {
    p->stroke_ms = 30;
}
static void uneven_taps(struct player *p) {
    p->tap_db = 7;
    p->base_db = -16;
}
static void flat_flam(struct player *p) {
    p->flam_ms = 5;
    p->flam_log = .2;
}
static void wide_flam(struct player *p) {
    p->flam_ms = 90;
    p->flam_log = .3;
}
static void wide_drag(struct player *p) {
    p->drag_ms = 160;
    p->flam_log = .2;
}
static void loud_grace(struct player *p) {
    p->grace_soft_db = 0;
}
static void thin(struct player *p) {
    p->buzz_notes = 1.5;
}
static void flat_dynamics(struct player *p) {
    p->flat_dynamics = true;
}
static void flat_hairpin(struct player *p) {
    p->flat_hairpins = true;
}
static void place(struct player *p) {
    p->place_db = 8;
    p->place = EH_TICKS_PER_QUARTER / 2;
    p->base_db = -12;
}
static void misses(struct player *p) {
    p->missed = 0.06;
}
static void extras(struct player *p) {
    p->extra = 0.05;
}

#define V(x) EH_VERDICT_##x
#define D(x) EH_DIRECTION_##x
#define A(x) EH_ASPECT_##x
#define L EH_SIDE_LEFT
#define R EH_SIDE_RIGHT
#define B EH_SIDE_BOTH

/* Eight written bars. */
#define ROLL_BAR "16:R/L/R/L/ R/L/R/L/ R/L/R/L/ R/L/R/L/ | "
#define ROLL_8                                                                                     \
    "metre: 4/4\n| " ROLL_BAR ROLL_BAR ROLL_BAR ROLL_BAR ROLL_BAR ROLL_BAR ROLL_BAR ROLL_BAR       \
    "4:R - 2:- |"
#define SINGLES_BAR "16:RLRL RLRL RLRL RLRL | "
#define SINGLES_8                                                                                  \
    "metre: 4/4\n| " SINGLES_BAR SINGLES_BAR SINGLES_BAR SINGLES_BAR SINGLES_BAR SINGLES_BAR       \
        SINGLES_BAR SINGLES_BAR "4:R - 2:- |"

static const struct trial trials[] = {
    {"bars: clean spacing", ROLL_8, 120, "rudimental", fine, A(DIDDLE_SPACING), L, NAN, V(EVEN),
     D(NONE)},
    {"bars 3-4: seconds late .15", ROLL_8, 120, "rudimental", second_late_there, A(DIDDLE_SPACING),
     L, NAN, V(UNEVEN), D(LATE)},
    {"bars 3-4: seconds -7", ROLL_8, 120, "rudimental", second_weak_there, A(DIDDLE_LEVEL), L, NAN,
     V(UNEVEN), D(WEAK)},
    {"bars 3-4: right hand 8 dB loud", SINGLES_8, 120, "rudimental", right_loud_there,
     A(HAND_LEVEL), B, NAN, V(UNMATCHED), D(LEFT_SOFT)},
    {"bars 3-4: left hand 35 ms late", SINGLES_8, 120, "rudimental", left_late_there,
     A(HAND_TIMING), B, NAN, V(UNMATCHED), D(LEFT_LATE)},
    {"clean roll spacing", ROLL "x4", 120, "rudimental", fine, A(DIDDLE_SPACING), L, 0.5, V(EVEN),
     D(NONE)},
    {"left seconds late .10, 32", ROLL "x4", 120, "rudimental", second_late, A(DIDDLE_SPACING), L,
     0.6, V(UNEVEN), D(LATE)},
    {"left seconds late .10, 16", ROLL "x2", 120, "rudimental", second_late, A(DIDDLE_SPACING), L,
     0.6, V(UNEVEN), D(LATE)},
    {"right seconds early .10, 16", ROLL "x2", 120, "rudimental", second_early, A(DIDDLE_SPACING),
     R, 0.4, V(UNEVEN), D(EARLY)},
    {"left seconds late .10, 32, 70", ROLL "x4", 70, "rudimental", second_late, A(DIDDLE_SPACING),
     L, 0.6, V(UNEVEN), D(LATE)},
    {"scattered .30, 32", ROLL "x4", 120, "rudimental", second_scatter, A(DIDDLE_SPACING), L, NAN,
     V(UNEVEN), D(SCATTERED)},
    {"weak seconds -6, 32", ROLL "x4", 120, "rudimental", second_weak, A(DIDDLE_LEVEL), L, -6,
     V(UNEVEN), D(WEAK)},
    {"weak seconds -6, 16", ROLL "x2", 120, "rudimental", second_weak, A(DIDDLE_LEVEL), L, -6,
     V(UNEVEN), D(WEAK)},
    {"accent clean 8", ACCENTS "x2", 120, "rudimental", fine, A(ACCENT), L, 7.5, 0, 0},
    {"accent clean hands", ACCENTS "x8", 120, "rudimental", fine, A(ACCENT), L, 7.5, 0, 0},
    {"accent under 2.25, 8", ACCENTS "x2", 120, "rudimental", under, A(ACCENT), L, 2.25, V(UNDER),
     D(NONE)},
    {"accent under 2.25, hand", ACCENTS "x4", 120, "rudimental", under, A(ACCENT), R, 2.25,
     V(UNDER), D(NONE)},
    {"one mark rudimental", ACCENTS "x4", 120, "rudimental", one_mark, A(ACCENT), R, 3, V(UNDER),
     D(NONE)},
    {"one mark concert (no fault)", ACCENTS "x4", 120, "concert", one_mark, A(ACCENT), R, 3, 0, 0},
    {"two marks concert", ACCENTS "x4", 120, "concert", two_marks, A(ACCENT), R, 6, V(OVERBLOWN),
     D(NONE)},
    {"two marks rudimental (no fault)", ACCENTS "x4", 120, "rudimental", two_marks, A(ACCENT), R, 6,
     0, 0},
    {"three marks concert", ACCENTS "x4", 120, "concert", three_marks, A(ACCENT), R, 9,
     V(OVERBLOWN), D(NONE)},
    {"three marks rudimental (no fault)", ACCENTS "x4", 120, "rudimental", three_marks, A(ACCENT),
     R, 9, 0, 0},
    {"overblown 15 rudimental", ACCENTS "x4", 120, "rudimental", over, A(ACCENT), R, 15,
     V(OVERBLOWN), D(NONE)},
    {"hand level clean", SINGLES "x4", 120, "rudimental", fine, A(HAND_LEVEL), B, 0, 0, 0},
    {"left soft 6, 32", SINGLES "x4", 120, "rudimental", right_loud, A(HAND_LEVEL), B, -6,
     V(UNMATCHED), D(LEFT_SOFT)},
    {"left soft 6, 16", SINGLES "x2", 120, "rudimental", right_loud, A(HAND_LEVEL), B, -6,
     V(UNMATCHED), D(LEFT_SOFT)},
    {"hand timing clean", SINGLES "x4", 120, "rudimental", fine, A(HAND_TIMING), B, 0, 0, 0},
    {"left late 20, 32", SINGLES "x4", 120, "rudimental", left_late, A(HAND_TIMING), B, 20,
     V(UNMATCHED), D(LEFT_LATE)},
    {"left late 20, 16", SINGLES "x2", 120, "rudimental", left_late, A(HAND_TIMING), B, 20,
     V(UNMATCHED), D(LEFT_LATE)},
    {"left late 20, 32, doubles", DOUBLES "x8", 120, "rudimental", left_late, A(HAND_TIMING), B, 20,
     V(UNMATCHED), D(LEFT_LATE)},
    {"tempo clean", SINGLES "x8", 120, "rudimental", fine, A(TEMPO), B, 0, 0, 0},
    {"tempo clean 4 bars", SINGLES "x4", 120, "rudimental", fine, A(TEMPO), B, 0, 0, 0},
    {"tempo clean 2 bars", SINGLES "x2", 120, "rudimental", fine, A(TEMPO), B, 0, 0, 0},
    {"rushing 0 to 5 %, 8 bars", SINGLES "x8", 120, "rudimental", rush, A(TEMPO), B, 5, V(DRIFTING),
     D(RUSHING)},
    {"rushing 0 to 5 %, 4 bars", SINGLES "x4", 120, "rudimental", rush, A(TEMPO), B, 5, V(DRIFTING),
     D(RUSHING)},
    {"rushing 0 to 5 %, 2 bars", SINGLES "x2", 120, "rudimental", rush, A(TEMPO), B, 5, V(DRIFTING),
     D(RUSHING)},
    {"rushing 5 %, 4 bars", SINGLES "x4", 120, "rudimental", rush_even, A(TEMPO), B, 5, V(DRIFTING),
     D(RUSHING)},
    {"dragging 0 to 5 %, 8 bars", SINGLES "x8", 120, "rudimental", drag, A(TEMPO), B, -5,
     V(DRIFTING), D(DRAGGING)},
    {"timing clean", SINGLES "x4", 120, "rudimental", fine, A(TIMING), B, NAN, 0, 0},
    {"unsteady 30, 64", SINGLES "x4", 120, "rudimental", unsteady, A(TIMING), B, NAN, V(UNSTEADY),
     D(NONE)},
    {"unsteady 30, 32", SINGLES "x2", 120, "rudimental", unsteady, A(TIMING), B, NAN, V(UNSTEADY),
     D(NONE)},
    {"taps clean", SINGLES "x4", 120, "rudimental", fine, A(TAP_LEVEL), B, NAN, 0, 0},
    {"taps 7 dB, 64", SINGLES "x4", 120, "rudimental", uneven_taps, A(TAP_LEVEL), B, NAN, V(UNEVEN),
     D(NONE)},
    {"taps 7 dB, 32", SINGLES "x2", 120, "rudimental", uneven_taps, A(TAP_LEVEL), B, NAN, V(UNEVEN),
     D(NONE)},
    {"unmarked place 8 dB, 16", SINGLES "x4", 120, "rudimental", place, A(UNMARKED_ACCENT), R, NAN,
     V(STICKS_OUT), D(NONE)},
    {"unmarked clean", SINGLES "x4", 120, "rudimental", fine, A(UNMARKED_ACCENT), R, 0, 0, 0},
    {"flam gap clean, 8", FLAMS "x4", 120, "rudimental", fine, A(FLAM_GAP), R, 24, 0, 0},
    {"flam gap clean, 32", FLAMS "x16", 120, "rudimental", fine, A(FLAM_GAP), R, 24, 0, 0},
    {"flam flat 5, 16", FLAMS "x8", 120, "rudimental", flat_flam, A(FLAM_GAP), R, 5, V(FLAT),
     D(NONE)},
    {"flam wide 90, 16", FLAMS "x8", 120, "rudimental", wide_flam, A(FLAM_GAP), R, 90, V(WIDE),
     D(NONE)},
    {"drag clean 16", DRAGS "x8", 120, "rudimental", fine, A(FLAM_GAP), R, 50, 0, 0},
    {"drag wide 160, 16", DRAGS "x8", 70, "rudimental", wide_drag, A(FLAM_GAP), R, 160, V(WIDE),
     D(NONE)},
    {"grace level clean 16", FLAMS "x8", 120, "rudimental", fine, A(GRACE_LEVEL), R, 6, 0, 0},
    {"grace loud 0, 16", FLAMS "x8", 120, "rudimental", loud_grace, A(GRACE_LEVEL), R, 0, V(LOUD),
     D(NONE)},
    {"buzz thin 1.5, 32", BUZZ "x4", 120, "rudimental", thin, A(BUZZ), R, NAN, V(THIN), D(NONE)},
    {"dynamics clean", DYNAMICS "x2", 120, "concert", fine, A(DYNAMICS), B, 3, 0, 0},
    {"dynamics flat", DYNAMICS "x2", 120, "concert", flat_dynamics, A(DYNAMICS), B, 0, V(OFF),
     D(FLAT)},
    {"hairpin clean", HAIRPIN "x2", 120, "concert", fine, A(HAIRPIN), B, 3, 0, 0},
    {"hairpin flat", HAIRPIN "x2", 120, "concert", flat_hairpin, A(HAIRPIN), B, 0, V(FLAT),
     D(NONE)},
    {"missed 6 %, 128", SINGLES "x8", 120, "rudimental", misses, A(MISSED), B, NAN, V(SOME),
     D(NONE)},
    {"extra 5 %, 128", SINGLES "x8", 120, "rudimental", extras, A(EXTRA), B, NAN, V(SOME), D(NONE)},
};

/* What an aspect comes to on a very long run: the truth where the player names none. */
static double long_run(const struct trial *x, const struct player *p) {
    char text[512];
    struct run run;
    const char *times = strstr(x->text, ":|");
    if (times == NULL) {
        return NAN;
    }
    snprintf(text, sizeof text, "%.*s:|x99", (int)(times - x->text), x->text);
    run_open(&run, text, x->bpm, 1, x->style);
    run_play(&run, p, 4711);
    const struct eh_finding *f = run_find(&run, x->aspect, x->side);
    double value = f != NULL ? f->value : NAN;
    run_close(&run);
    return value;
}

/* Other findings of the same runs: which faults come along. */
static void trial(const struct trial *x, const struct player *base, int runs, bool others) {
    struct run run;
    struct tally t = {0};
    size_t faults[EH_ASPECT_COUNT][3];
    memset(faults, 0, sizeof faults);
    struct player p = *base;
    x->spoil(&p);
    double truth = isfinite(x->truth) ? x->truth : long_run(x, &p);
    run_open(&run, x->text, x->bpm, 1, x->style);
    for (int k = 0; k < runs; k++) {
        run_play(&run, &p, (uint64_t)k + 1);
        const struct eh_finding *f = run_find(&run, x->aspect, x->side);
        if (f != NULL) {
            tally_one(&t, f, truth, x->verdict, x->direction);
        }
        for (size_t i = 0; i < run.judgement.finding_count; i++) {
            const struct eh_finding *g = &run.judgement.findings[i];
            faults[g->aspect][g->side] += g != f && g->fault == EH_FAULT_YES;
        }
    }
    print_row(x->name, &t);
    for (int a = 0; a < EH_ASPECT_COUNT && others; a++) {
        for (int s = 0; s < 3; s++) {
            if (faults[a][s] * 50 > (size_t)runs) {
                printf("      also %s %s %.1f %%\n", eh_aspect_text((enum eh_aspect)a),
                       eh_side_text((enum eh_side)s), 100.0 * (double)faults[a][s] / runs);
            }
        }
    }
    run_close(&run);
}

int main(int argc, char **argv) {
    int runs = argc > 1 ? atoi(argv[1]) : 400;
    bool quiet = argc > 2 && strcmp(argv[2], "quiet") == 0;
    struct player pro = professional();
    struct player weak = learner();
    if (argc > 3) {
        pro.keep = weak.keep = atof(argv[3]);
    }
    static const struct {
        const char *name, *text, *style;
        double lift;
    } rows[] = {
        {"roll", ROLL "x8", "rudimental", 7.5},
        {"doubles", DOUBLES "x8", "rudimental", 7.5},
        {"accents", ACCENTS "x4", "rudimental", 7.5},
        {"singles", SINGLES "x8", "rudimental", 7.5},
        {"paradiddles", PARADIDDLES "x8", "concert", 3},
        {"flams", FLAMS "x8", "rudimental", 7.5},
        {"drags", DRAGS "x8", "rudimental", 7.5},
        {"buzz", BUZZ "x8", "concert", 3},
        {"dynamics", DYNAMICS "x4", "concert", 3},
        {"hairpins", HAIRPIN "x3", "concert", 3},
    };
    for (int who = 0; who < 2; who++) {
        struct player p = who == 0 ? pro : weak;
        printf("%s, clean\n", who == 0 ? "PROFESSIONAL" : "LEARNER");
        for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
            p.lift_db = rows[i].lift;
            clean(rows[i].name, rows[i].text, 120, &p, rows[i].style, runs, quiet);
            if (!quiet) {
                clean(rows[i].name, rows[i].text, 70, &p, rows[i].style, runs, true);
            }
        }
        printf("%s, faults\n", who == 0 ? "PROFESSIONAL" : "LEARNER");
        p = who == 0 ? pro : weak;
        for (size_t i = 0; i < sizeof trials / sizeof trials[0]; i++) {
            trial(&trials[i], &p, runs, true);
        }
    }
    return 0;
}
