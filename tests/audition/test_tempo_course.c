#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>

#include "placed.h"

static struct placed placed;

static const struct eh_tempo_course *play(const char *faults, double bpm) {
    const struct placed_ask ask = {"rudimental-etude", faults, bpm, 6, false};
    const bool known = placed_play(&placed, &ask) && placed.course.known;
    cr_assert(known, "%s", faults);
    return &placed.course;
}

Test(tempo_course, a_tempo_that_is_kept_has_no_leg) {
    static const double tempi[] = {70, 90, 120};
    for (size_t i = 0; i < 3; i++) {
        const struct eh_tempo_course *c = play("none", tempi[i]);
        cr_expect_eq(c->leg_count, 0);
        cr_expect_float_eq(c->begin_bpm, tempi[i], 0.015 * tempi[i]);
        cr_expect_float_eq(c->end_bpm, tempi[i], 0.015 * tempi[i]);
        cr_expect_leq(c->slowest, c->begin_bpm);
        cr_expect_geq(c->quickest, c->end_bpm);
        placed_deinit(&placed);
    }
}

Test(tempo_course, a_tempo_that_is_pushed_is_a_ramp_through_its_bars) {
    const struct eh_tempo_course *c = play("rushing:6/13-20", 90);
    cr_assert_eq(c->leg_count, 1);
    cr_expect_eq(c->legs[0].kind, EH_TEMPO_RAMP);
    cr_expect_leq(abs(c->legs[0].first_bar - 13), 1);
    cr_expect_leq(abs(c->legs[0].last_bar - 20), 1);
    cr_expect_float_eq(c->legs[0].from_bpm, 90, 0.7);
    cr_expect_float_eq(c->legs[0].to_bpm, 95.4, 0.7);
    cr_expect_float_eq(c->legs[0].percent, 6, 1);
    cr_expect_gt(c->legs[0].low, placed.style.drift_percent);
    cr_expect_not(c->legs[0].all);
    placed_deinit(&placed);
}

Test(tempo_course, one_that_drags_from_end_to_end_is_all_through) {
    const struct eh_tempo_course *c = play("dragging:6", 90);
    cr_assert_eq(c->leg_count, 1);
    cr_expect(c->legs[0].all);
    cr_expect_lt(c->legs[0].high, -placed.style.drift_percent);
    placed_deinit(&placed);
}

Test(tempo_course, bars_at_another_tempo_are_a_spell) {
    const struct eh_tempo_course *c = play("faster:8/9-12", 90);
    cr_assert_eq(c->leg_count, 1);
    cr_expect_eq(c->legs[0].kind, EH_TEMPO_SPELL);
    cr_expect_eq(c->legs[0].first_bar, 9);
    cr_expect_eq(c->legs[0].last_bar, 12);
    cr_expect_float_eq(c->legs[0].percent, 8, 1);
    placed_deinit(&placed);
}

Test(tempo_course, a_tempo_that_changes_once_and_for_all_is_a_step) {
    const struct eh_tempo_course *c = play("slower:8/17-32", 90);
    cr_assert_eq(c->leg_count, 1);
    cr_expect_eq(c->legs[0].kind, EH_TEMPO_STEP);
    cr_expect_eq(c->legs[0].first_bar, 17);
    cr_expect_eq(c->legs[0].last_bar, 17);
    placed_deinit(&placed);
}

Test(tempo_course, there_and_back_are_two_legs) {
    const struct eh_tempo_course *c = play("rushing:8/5-10,dragging:7/21-26", 90);
    cr_assert_eq(c->leg_count, 2);
    cr_expect_gt(c->legs[0].percent, 0.0);
    cr_expect_lt(c->legs[1].percent, 0.0);
    cr_expect_leq(abs(c->legs[1].first_bar - 21), 1);
    cr_expect_leq(abs(c->legs[1].last_bar - 26), 2);
    placed_deinit(&placed);
}

Test(tempo_course, a_halt_is_no_change_of_tempo) {
    const struct eh_tempo_course *c = play("wait:3/17", 90);
    cr_expect_eq(c->leg_count, 0);
    cr_expect_lt(c->quickest - c->slowest, 4.0);
    placed_deinit(&placed);
}

Test(tempo_course, a_run_to_a_click_has_none) {
    const struct placed_ask ask = {"rudimental-etude", "none", 90, 6, true};
    cr_assert(placed_play(&placed, &ask));
    cr_expect_not(placed.course.known);
    cr_expect_eq(placed.course.leg_count, 0);
    placed_deinit(&placed);
}
