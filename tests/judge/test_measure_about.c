/* Which runs are asked about their doubles: those that hold enough of them, and those of exercises
 * that are about them. The triple paradiddle, a diddle in eight strokes of a hand, is the rudiment
 * with the fewest (the list of 40; its stroke order: tests/score/test_rudiments.c). */
#include <criterion/criterion.h>
#include <string.h>

#include "measure_player.h"

#define TRIPLE_PARADIDDLE "16:R>LRL RLRR L>RLR LRLL"
#define ONE_IN_NINE TRIPLE_PARADIDDLE " | 4:RL 2:- "

struct row {
    const char *name, *text;
    enum eh_fault left, right;
    bool asked;
};

/* Exercises of the trade's kinds, from memory; what is a diddle in them: common practice, no
 * source. A machine plays, so what is asked and has eight doubles a hand is even. */
static const struct row rows[] = {
    {"double strokes", "|: 16:RRLL RRLL RRLL RRLL :| 4:R 2.:-", EH_FAULT_NO, EH_FAULT_NO, true},
    {"paradiddles in 16ths", "|: 16:RLRR LRLL RLRR LRLL :|x4 4:R 2.:-", EH_FAULT_NO, EH_FAULT_NO,
     true},
    {"paradiddles in eighths", "|: 8:RLRR LRLL :|x8 4:R 2.:-", EH_FAULT_NO, EH_FAULT_NO, true},
    {"a short exercise of paradiddles", "16:RLRR LRLL RLRR LRLL", EH_FAULT_UNCLEAR,
     EH_FAULT_UNCLEAR, true},
    {"seven a hand", "|: 16:RLRR LRLL 2:- :|x7", EH_FAULT_UNCLEAR, EH_FAULT_UNCLEAR, true},
    {"one in eight", TRIPLE_PARADIDDLE, EH_FAULT_UNCLEAR, EH_FAULT_UNCLEAR, true},
    {"one in nine", ONE_IN_NINE, EH_FAULT_NO, EH_FAULT_NO, false},
    {"one in twelve", "|: 16:RLRR LRLL RLRL RLRL | 16:RLRL RLRL 2:- :|", EH_FAULT_NO, EH_FAULT_NO,
     false},
    {"one in nine, often enough", "|: " ONE_IN_NINE ":|x9", EH_FAULT_NO, EH_FAULT_NO, true},
    {"drag taps", "|: 8:llRL> rrLR> llRL> rrLR> :|x4", EH_FAULT_NO, EH_FAULT_NO, false},
    {"double drag taps", "|: 6/8 8:llRllRL> rrLrrLR> :|x8", EH_FAULT_NO, EH_FAULT_NO, false},
    {"flam taps in eighths among 16ths", "|: 8:lRR rLL lRR rLL | 16:RLRL RLRL RLRL RLRL :|x4",
     EH_FAULT_NO, EH_FAULT_NO, false},
    {"two beats a hand, then singles", "|: 8:RRLL RRLL | 16:RLRL RLRL RLRL RLRL :|x4", EH_FAULT_NO,
     EH_FAULT_NO, false},
};

static void expect_row(const struct row *row) {
    static const enum eh_aspect aspects[] = {EH_ASPECT_DIDDLE_SPACING, EH_ASPECT_DIDDLE_LEVEL};
    const enum eh_fault faults[] = {row->left, row->right};
    struct run run;
    const struct player player = machine();
    run_open(&run, row->text, 100, 1, "rudimental");
    run_play(&run, &player, 5);
    for (size_t a = 0; a < 2; a++) {
        for (int side = 0; side < 2; side++) {
            const struct eh_finding *f = run_find(&run, aspects[a], (enum eh_side)side);
            cr_expect_eq(f != NULL, row->asked, "%s", row->name);
            cr_expect(f == NULL || f->fault == faults[side], "%s: %s", row->name, f->text);
        }
    }
    run_close(&run);
}

Test(measure_about, doubles_are_asked_about_where_the_exercise_is_about_them) {
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        expect_row(&rows[i]);
    }
}

/* Bars 1 and 2 alone have a diddle in twelve strokes of a hand, the exercise has more. */
Test(measure_about, who_plays_a_part_of_such_an_exercise_hears_that_it_is_too_little) {
    struct run run;
    struct eh_error error;
    const struct player player = machine();
    const struct eh_plan_request part = {.first_bar = 1, .last_bar = 2};
    run_open(&run,
             "| 16:RLRR LRLL RLRL RLRL | 16:RLRL RLRL 2:- | 16:RLRR LRLL RLRR LRLL | "
             "16:RLRR LRLL RLRR LRLL |",
             100, 1, "rudimental");
    eh_plan_deinit(&run.plan);
    cr_assert_eq(eh_plan_init(&run.plan, run.exercise, &part, &run.click, 0, &error), EH_OK);
    run_play(&run, &player, 5);
    const struct eh_finding *f = run_find(&run, EH_ASPECT_DIDDLE_SPACING, EH_SIDE_LEFT);
    cr_assert_not_null(f);
    cr_expect_eq(f->fault, EH_FAULT_UNCLEAR, "%s", f->text);
    cr_expect_not_null(strstr(f->text, "too few"), "%s", f->text);
    run_close(&run);
}
