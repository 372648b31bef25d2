/* What the measures promise whatever is played: presence, silence where the pad cannot tell,
 * symmetry, places. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "measure_player.h"

#define A(x) EH_ASPECT_##x
#define ROLL "metre: 4/4\n|: 16:R/L/R/L/ R/L/R/L/ R/L/R/L/ R/L/R/L/ :|"
#define SINGLES "metre: 4/4\n|: 16:RLRL RLRL RLRL RLRL :|"
#define FLAMS "metre: 4/4\n|: 8:lR L rL R lR L rL R :|"
#define ACCENTS "metre: 4/4\n|: 16:R>LRL RL>RL R>LRL RL>RL :|"

static void open_and_play(struct run *run, const char *text, double bpm, const char *style,
                          const struct player *p) {
    run_open(run, text, bpm, 1, style);
    run_play(run, p, 5);
}

static const struct eh_finding *find(const struct run *run, enum eh_aspect aspect,
                                     enum eh_side side) {
    const struct eh_finding *f = run_find(run, aspect, side);
    cr_assert_not_null(f, "%s %s is absent", eh_aspect_text(aspect), eh_side_text(side));
    return f;
}

/* Which aspects an exercise can show; each as "aspect side". */
static void expect_present(const char *text, const char *style, const char *wanted) {
    struct run run;
    struct player p = machine();
    char got[1024] = "";
    open_and_play(&run, text, 100, style, &p);
    for (size_t i = 0; i < run.judgement.finding_count; i++) {
        const struct eh_finding *f = &run.judgement.findings[i];
        size_t n = strlen(got);
        snprintf(got + n, sizeof got - n, "%s%s-%c", i > 0 ? " " : "",
                 eh_aspect_text((enum eh_aspect)f->aspect), eh_side_text((enum eh_side)f->side)[0]);
    }
    cr_expect_str_eq(got, wanted, "%s\ngot    %s\nwanted %s", text, got, wanted);
    run_close(&run);
}

#define TIME " hand-timing-b timing-b tempo-b missed-b extra-b"

Test(measure_rules, every_aspect_that_the_exercise_can_show_is_present_and_no_other) {
    expect_present(SINGLES, "rudimental",
                   "unmarked-accent-l unmarked-accent-r tap-level-b hand-level-b" TIME);
    expect_present(SINGLES, "concert",
                   "unmarked-accent-l unmarked-accent-r tap-level-b hand-level-b" TIME " rim-b");
    expect_present(ROLL, "rudimental",
                   "diddle-spacing-l diddle-spacing-r diddle-level-l diddle-level-r "
                   "unmarked-accent-l unmarked-accent-r tap-level-b hand-level-b" TIME);
    expect_present("metre: 4/4\n| 4:R>LR>L |", "rudimental",
                   "accent-b tap-level-b" TIME); /* the right hand has no unmarked stroke */
    expect_present(ACCENTS "x4", "rudimental",
                   "accent-l accent-r unmarked-accent-l unmarked-accent-r tap-level-b "
                   "hand-level-b" TIME);
    /* The right hand's doubles end in accents: their levels cannot be compared. */
    expect_present("metre: 4/4\n|: 16:RR>LL RR>LL RR>LL RR>LL :|", "rudimental",
                   "diddle-spacing-l diddle-spacing-r diddle-level-l accent-b unmarked-accent-l "
                   "unmarked-accent-r tap-level-b hand-level-b" TIME);
    expect_present("metre: 4/4\n| 4:lR R R R |", "rudimental",
                   "tap-level-b flam-gap-b grace-level-b timing-b tempo-b missed-b extra-b");
    expect_present("metre: 4/4\n|: p 4:RLRL | f cresc RLRL end :|", "rudimental",
                   "unmarked-accent-l unmarked-accent-r tap-level-b hand-level-b" TIME
                   " dynamics-b hairpin-b");
    expect_present("metre: 4/4\n| 4:RzLzRzLz |", "rudimental",
                   "tap-level-b buzz-b hand-level-b" TIME);
}

Test(measure_rules, a_run_in_which_nothing_was_hit_is_judged_without_harm) {
    static const char *texts[] = {ROLL, FLAMS, ACCENTS,
                                  "metre: 4/4\n| p 4:RzLzRzLz | f cresc R L R L ff"};
    for (size_t t = 0; t < 4; t++) {
        struct run run;
        struct player p = machine();
        p.missed = 2.0;
        open_and_play(&run, texts[t], 100, "concert", &p);
        cr_expect(isnan(run.judgement.offset_ms) && isnan(run.judgement.drift_percent));
        for (size_t i = 0; i < run.judgement.finding_count; i++) {
            const struct eh_finding *f = &run.judgement.findings[i];
            bool counted = f->aspect == A(MISSED) || f->aspect == A(EXTRA) || f->aspect == A(RIM);
            cr_expect(counted || f->fault == EH_FAULT_UNCLEAR, "%s", f->text);
            cr_expect_gt(strlen(f->text), 10u);
        }
        cr_expect_eq(find(&run, A(MISSED), EH_SIDE_BOTH)->fault, EH_FAULT_YES);
        run_close(&run);
    }
}

/* Few and all at 127: the pad's top is named, since playing longer would not help. */
Test(measure_rules, the_pads_top_is_named_where_hits_are_few_too) {
    struct run run;
    struct player p = machine();
    p.base_db = 20;
    open_and_play(&run, "metre: 4/4\n| 4:lR>RlR>R | 8:RLRLRLRL |", 100, "rudimental", &p);
    static const enum eh_aspect aspects[] = {A(ACCENT), A(GRACE_LEVEL)};
    for (size_t i = 0; i < 2; i++) {
        const struct eh_finding *f = find(&run, aspects[i], EH_SIDE_BOTH);
        cr_expect_eq(f->fault, EH_FAULT_UNCLEAR, "%s", f->text);
        cr_expect(strstr(f->text, "top of the pad's range") != NULL, "%s", f->text);
    }
    run_close(&run);
}

/* Three places of a hand, one of them soft: the other two do not stick out of each other. */
Test(measure_rules, of_three_places_two_loud_ones_are_no_accents) {
    struct run run;
    struct player p = machine();
    p.fine_velocity = true;
    p.place = 3 * EH_TICKS_PER_QUARTER / 4;
    p.place_db = -6;
    open_and_play(&run, "metre: 4/4\n|: 16:RLLL RLLL RLLL RLLL :|", 100, "rudimental", &p);
    const struct eh_finding *f = find(&run, A(UNMARKED_ACCENT), EH_SIDE_LEFT);
    cr_expect_eq(f->fault, EH_FAULT_NO, "%s", f->text);
    cr_expect_float_eq(f->value, 3.0, 0.05, "%s", f->text);
    run_close(&run);
}

/* Gains move no level that is a difference; a constant delay moves the offset only. */
Test(measure_rules, neither_gain_nor_a_constant_delay_moves_a_verdict) {
    static const char *texts[] = {ROLL "x2", ACCENTS "x4", FLAMS "x5"};
    for (size_t t = 0; t < 3; t++) {
        struct run a, b;
        struct player p = professional();
        p.base_db = -14;
        p.fine_velocity = true;
        open_and_play(&a, texts[t], 100, "rudimental", &p);
        p.base_db = -18;
        p.offset_ms += 40;
        open_and_play(&b, texts[t], 100, "rudimental", &p);
        cr_expect_float_eq(b.judgement.offset_ms - a.judgement.offset_ms, 40, 0.002);
        for (size_t i = 0; i < a.judgement.finding_count; i++) {
            const struct eh_finding *f = &a.judgement.findings[i];
            const struct eh_finding *g = &b.judgement.findings[i];
            cr_expect_eq(f->verdict, g->verdict);
            cr_expect(isnan(f->value) ? isnan(g->value) : fabs(f->value - g->value) < 0.02,
                      "%s\n%s", f->text, g->text);
        }
        run_close(&a);
        run_close(&b);
    }
}

static enum eh_side other_side(enum eh_side side) {
    return side == EH_SIDE_LEFT ? EH_SIDE_RIGHT : side == EH_SIDE_RIGHT ? EH_SIDE_LEFT : side;
}

static double mirrored(enum eh_aspect aspect, double value) {
    return aspect == A(HAND_LEVEL) || aspect == A(HAND_TIMING) ? -value : value;
}

Test(measure_rules, swapping_the_hands_swaps_the_findings) {
    static const char *texts[][2] = {
        {ROLL, "metre: 4/4\n|: 16:L/R/L/R/ L/R/L/R/ L/R/L/R/ L/R/L/R/ :|"},
        {"metre: 4/4\n|: 16:R>LRR LRLL RLR>R LRLL :|x5",
         "metre: 4/4\n|: 16:L>RLL RLRR LRL>L RLRR :|x5"},
        {FLAMS "x5", "metre: 4/4\n|: 8:rL R lR L rL R lR L :|x5"}};
    for (size_t t = 0; t < 3; t++) {
        struct run a, b;
        struct player p = professional();
        open_and_play(&a, texts[t][0], 100, "rudimental", &p);
        open_and_play(&b, texts[t][1], 100, "rudimental", &p);
        for (size_t i = 0; i < a.judgement.finding_count; i++) {
            const struct eh_finding *f = &a.judgement.findings[i];
            const struct eh_finding *g = find(&b, f->aspect, other_side(f->side));
            cr_expect_eq(f->verdict, g->verdict);
            double value = mirrored(f->aspect, g->value);
            cr_expect(isnan(f->value) ? isnan(value) : fabs(f->value - value) < 1e-9, "%s\n%s",
                      f->text, g->text);
        }
        run_close(&a);
        run_close(&b);
    }
}

/* Over half of the accents at 127: at least so much, never right-sized. */
Test(measure_rules, accents_at_the_top_of_the_pad_are_unclear_or_overblown_at_least) {
    struct run run;
    struct player p = machine();
    p.base_db = -8;
    p.lift_db = 9;
    open_and_play(&run, ACCENTS "x4", 100, "rudimental", &p);
    const struct eh_finding *f = find(&run, A(ACCENT), EH_SIDE_LEFT);
    cr_expect_eq(f->fault, EH_FAULT_UNCLEAR, "%s", f->text);
    cr_expect_not_null(strstr(f->text, "top of the pad's range"));
    run_close(&run);
    open_and_play(&run, ACCENTS "x4", 100, "concert", &p);
    f = find(&run, A(ACCENT), EH_SIDE_LEFT);
    cr_expect_eq(f->verdict, EH_VERDICT_OVERBLOWN, "%s", f->text);
    cr_expect_not_null(strstr(f->text, "at least"));
    run_close(&run);
}

/* A step of 21 ms (a usual JACK period of 1024 frames at 48 kHz) is coarser than what is judged. */
Test(measure_rules, a_coarse_clock_makes_timing_unclear_and_says_what_to_change) {
    struct run run;
    struct player p = machine();
    run_open(&run, ROLL "x2", 120, 1, "rudimental");
    run.resolution_ns = 21333333;
    run_play(&run, &p, 5);
    static const struct {
        enum eh_aspect aspect;
        enum eh_side side;
    } rows[] = {{A(DIDDLE_SPACING), EH_SIDE_LEFT},
                {A(HAND_TIMING), EH_SIDE_BOTH},
                {A(TIMING), EH_SIDE_BOTH}};
    for (size_t i = 0; i < 3; i++) {
        const struct eh_finding *f = find(&run, rows[i].aspect, rows[i].side);
        cr_expect_eq(f->fault, EH_FAULT_UNCLEAR, "%s", f->text);
        cr_expect_not_null(strstr(f->text, "smaller period"), "%s", f->text);
    }
    cr_expect_neq(find(&run, A(HAND_LEVEL), EH_SIDE_BOTH)->fault, EH_FAULT_UNCLEAR);
    run.resolution_ns = 1000000;
    run_play(&run, &p, 5);
    cr_expect_eq(find(&run, A(DIDDLE_SPACING), EH_SIDE_LEFT)->fault, EH_FAULT_NO);
    run_close(&run);
}

/* Seconds under the pad's mask are missing in the take: weak, not left out. */
Test(measure_rules, seconds_that_the_pad_hides_count_as_weak_and_not_as_missed) {
    struct run run;
    struct player p = professional();
    p.pad_hides = true;
    p.second_db[0] = -8.5;
    open_and_play(&run, ROLL "x2", 150, "rudimental", &p);
    const struct eh_finding *f = find(&run, A(DIDDLE_LEVEL), EH_SIDE_LEFT);
    cr_expect(f->fault == EH_FAULT_YES && f->direction == EH_DIRECTION_WEAK, "%s", f->text);
    const struct eh_finding *missed = find(&run, A(MISSED), EH_SIDE_BOTH);
    cr_expect_gt(missed->value, missed->limit_high, "%s", missed->text);
    cr_expect_eq(missed->fault, EH_FAULT_UNCLEAR, "%s", missed->text);
    cr_expect_eq(find(&run, A(HAND_LEVEL), EH_SIDE_BOTH)->fault, EH_FAULT_NO);
    run_close(&run);
}

Test(measure_rules, strokes_left_out_at_random_are_missed_and_not_weak) {
    struct run run;
    struct player p = professional();
    p.missed = 0.08;
    p.pad_hides = true;
    open_and_play(&run, ROLL "x4", 120, "rudimental", &p);
    const struct eh_finding *f = find(&run, A(MISSED), EH_SIDE_BOTH);
    cr_expect(f->fault == EH_FAULT_YES && f->bar_count > 0, "%s", f->text);
    cr_expect_eq(find(&run, A(DIDDLE_LEVEL), EH_SIDE_LEFT)->fault, EH_FAULT_NO);
    run_close(&run);
}

/* A flam whose notes the pad merges leaves one soft note; a flam without its grace note a loud one.
 */
Test(measure_rules, merged_flams_are_flat_and_flams_without_grace_notes_unclear) {
    struct run run;
    struct player p = professional();
    p.pad_hides = true;
    p.flam_ms = 5;
    p.flam_log = 0.2;
    open_and_play(&run, FLAMS "x8", 100, "rudimental", &p);
    const struct eh_finding *f = find(&run, A(FLAM_GAP), EH_SIDE_RIGHT);
    cr_expect_neq(f->fault, EH_FAULT_NO, "%s", f->text);
    cr_expect_neq(find(&run, A(MISSED), EH_SIDE_BOTH)->fault, EH_FAULT_YES);
    run_close(&run);
    p = machine();
    open_and_play(&run, FLAMS "x8", 100, "rudimental", &p);
    for (size_t i = 0; i < run.plan.due_count; i++) {
        if (run.plan.due[i].main != i && i / 6 % 2 == 0) {
            run.matches[i].hit = EH_NO_HIT;
        }
    }
    run_judge(&run);
    f = find(&run, A(FLAM_GAP), EH_SIDE_RIGHT);
    cr_expect_eq(f->fault, EH_FAULT_UNCLEAR, "%s", f->text);
    cr_expect_not_null(strstr(f->text, "one note only"), "%s", f->text);
    run_close(&run);
}

Test(measure_rules, the_bars_named_are_those_with_the_fault) {
    struct run run;
    struct player p = machine();
    run_open(&run,
             "metre: 2/4\n| 16:R/L/R/L/ R/L/R/L/ | R/L/R/L/ R/L/R/L/ | R/L/R/L/ R/L/R/L/ | "
             "R/L/R/L/ R/L/R/L/ | R/L/R/L/ R/L/R/L/ |",
             120, 1, "rudimental");
    p.second_late[0] = 0.14;
    run_play(&run, &p, 5);
    for (size_t i = 0; i < run.plan.due_count; i++) {
        const struct eh_stroke *s = eh_plan_stroke(&run.plan, i);
        if (s->kind == EH_KIND_SECOND && s->hand == EH_HAND_LEFT && s->bar == 3) {
            run.hits[run.matches[i].hit].at_ns -= 17500000; /* where it belongs */
        }
    }
    run_judge(&run);
    const struct eh_finding *f = find(&run, A(DIDDLE_SPACING), EH_SIDE_LEFT);
    cr_expect_eq(f->fault, EH_FAULT_YES, "%s", f->text);
    cr_expect_eq(f->bar_count, 4);
    cr_expect(f->bars[0] == 1 && f->bars[1] == 2 && f->bars[2] == 4 && f->bars[3] == 5, "%s",
              f->text);
    cr_expect_not_null(strstr(f->text, " ms late"), "%s", f->text);
    cr_expect_not_null(strstr(f->text, "0.64 of the span"), "%s", f->text);
    cr_expect_not_null(strstr(f->text, "bars 1, 2, 4, 5"), "%s", f->text);
    run_close(&run);
}

/* A flat hairpin, one turned round, and one as written. */
Test(measure_rules, hairpins_are_shaped_flat_or_reversed) {
    static const char *text = "metre: 4/4\n|: p cresc 16:RLRL RLRL RLRL RLRL | f 1:R :|x2";
    static const enum eh_verdict wanted[] = {EH_VERDICT_SHAPED, EH_VERDICT_FLAT,
                                             EH_VERDICT_REVERSED};
    for (int k = 0; k < 3; k++) {
        struct run run;
        struct player p = machine();
        p.tap_db = 0.5;
        p.flat_hairpins = k == 1;
        p.mark_db = k == 2 ? -3 : 3;
        open_and_play(&run, text, 100, "concert", &p);
        const struct eh_finding *f = find(&run, A(HAIRPIN), EH_SIDE_BOTH);
        cr_expect_eq(f->verdict, wanted[k], "%s", f->text);
        run_close(&run);
    }
}

Test(measure_rules, a_passage_off_its_mark_is_told_with_its_bar) {
    for (int sign = -1; sign <= 1; sign += 2) {
        struct run run;
        struct player p = machine();
        p.tap_db = 1.0;
        run_open(&run,
                 "metre: 2/4\n| p 16:RLRL RLRL | f RLRL RLRL | p RLRL RLRL | f RLRL RLRL | p RLRL "
                 "RLRL | f RLRL RLRL |",
                 100, 1, "concert");
        run_play(&run, &p, 5);
        for (size_t i = 0; i < run.plan.due_count; i++) {
            if (eh_plan_stroke(&run.plan, i)->bar == 3) {
                struct eh_hit *hit = &run.hits[run.matches[i].hit];
                hit->velocity = (uint16_t)(hit->velocity * pow(10, sign * 7.0 / 20));
            }
        }
        run_judge(&run);
        const struct eh_finding *f = find(&run, A(DYNAMICS), EH_SIDE_BOTH);
        cr_expect_eq(f->verdict, EH_VERDICT_OFF, "%s", f->text);
        cr_expect_eq(f->direction, sign > 0 ? EH_DIRECTION_LOUD : EH_DIRECTION_SOFT, "%s", f->text);
        cr_expect(f->bar_count == 1 && f->bars[0] == 3, "%s", f->text);
        run_close(&run);
    }
}

Test(measure_rules, rim_shots_count_only_where_forbidden_and_above_the_gate) {
    struct run run;
    struct player p = machine();
    p.base_db = -9;
    p.rim = 1.0;
    open_and_play(&run, ACCENTS, 100, "concert", &p);
    const struct eh_finding *f = find(&run, A(RIM), EH_SIDE_BOTH);
    cr_expect(f->fault == EH_FAULT_YES && f->value == 8, "%s", f->text);
    run_close(&run);
    p.base_db = -20; /* accents at velocity 30: below the gate of 91 */
    open_and_play(&run, ACCENTS, 100, "concert", &p);
    cr_expect_eq(find(&run, A(RIM), EH_SIDE_BOTH)->fault, EH_FAULT_NO);
    run_close(&run);
}

Test(measure_rules, a_bar_is_summed_up_while_the_run_goes_on) {
    struct run run;
    struct player p = machine();
    p.offset_ms = 7;
    p.second_late[0] = 0.1;
    p.lift_db = 6;
    run_open(&run, "metre: 4/4\n| 16:R/L/R/L/ R/L/R/L/ RLRL R>LRL | RLRL RLRL RLRL RLRL |", 120, 1,
             "rudimental");
    run_play(&run, &p, 5);
    run.fates[3].kind = EH_FATE_EXTRA;
    run.matches[3].hit = EH_NO_HIT;
    struct eh_measure_input in = {.plan = &run.plan,
                                  .hits = run.hits,
                                  .hit_count = run.hit_count,
                                  .matches = run.matches,
                                  .fates = run.fates,
                                  .pad = &run.pad,
                                  .style = &run.style};
    struct eh_bar_summary bar;
    eh_measure_bar(&in, 0, &bar);
    cr_expect(bar.written == 1 && bar.pass == 0 && bar.strokes == 24);
    cr_expect(bar.matched == 23 && bar.missed == 1 && bar.extra == 1);
    cr_expect_float_eq(bar.offset_ms, 7, 0.01);
    cr_expect_float_eq(bar.spacing_left, 0.6, 1e-4);
    cr_expect_float_eq(bar.spacing_right, 0.5, 1e-4);
    cr_expect_float_eq(bar.lift_db, 6, 0.01);
    eh_measure_bar(&in, 1, &bar);
    cr_expect(bar.written == 2 && bar.strokes == 16 && bar.missed == 0 && bar.extra == 0);
    cr_expect(isnan(bar.spacing_left) && isnan(bar.lift_db));
    run_close(&run);
}
