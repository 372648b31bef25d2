#include <criterion/criterion.h>
#include <math.h>

#include "played_bars.h"

static const char quarters[] =
    "4: R L R L | R L R L | R L R L | R L R L | R L R L | R L R L | R L R L | R L R L | "
    "R L R L | R L R L | R L R L | R L R L";
static const double bar_ms = 2400.0;

/* Over BARS bars from bar BAR (from 0) the beat goes DRIFT_MS. */
static void drift(struct played_bars *p, int bar, int bars, double drift_ms) {
    played_move(p, bar * bar_ms, (bar + bars) * bar_ms + 1.0, 0.0,
                drift_ms / (bars * bar_ms) * 1000.0);
}

Test(pulse_lengths, stretches_of_one_length_are_put_together) {
    struct played_bars p = played_bars(quarters, 1, "2,4,6-7");
    drift(&p, 1, 1, -20.0);
    drift(&p, 3, 1, -40.0);
    drift(&p, 5, 2, -90.0);
    played_measure(&p);
    cr_assert_eq(p.pulse.length_count, 2);
    const struct eh_pulse_length *one = &p.pulse.lengths[0];
    const struct eh_pulse_length *two = &p.pulse.lengths[1];
    cr_assert(one->bars == 1 && one->stretches == 2 && one->held == 2);
    cr_assert(two->bars == 2 && two->stretches == 1);
    cr_assert(fabs(one->drift_ms.value + 30.0) < 1e-4 && fabs(two->drift_ms.value + 90.0) < 1e-4);
    cr_assert(fabs(one->tolerance_ms - 60.0) < 1e-9 && fabs(two->tolerance_ms - 120.0) < 1e-9);
    cr_assert(fabs(one->tempo_percent.value - 100.0 * (2400.0 / 2370.0 - 1.0)) < 1e-4);
    cr_assert_eq(p.pulse.held_bars, 2);
    cr_assert_eq(p.pulse.lost_bars, 0);
    played_deinit(&p);
}

Test(pulse_lengths, the_shortest_that_is_lost_ends_what_holds) {
    struct played_bars p = played_bars(quarters, 1, "2,4-5,7-10");
    drift(&p, 1, 1, -20.0);
    drift(&p, 3, 2, -130.0);
    drift(&p, 6, 4, -10.0);
    played_measure(&p);
    cr_assert_eq(p.pulse.held_bars, 1);
    cr_assert_eq(p.pulse.lost_bars, 2);
    cr_assert_eq(p.pulse.lengths[2].verdict, EH_PULSE_HELD);
    played_deinit(&p);
}

/* The mean of -80 and 80 is none, and yet the beat held in neither. */
Test(pulse_lengths, once_this_way_and_once_that_is_not_held) {
    struct played_bars p = played_bars(quarters, 1, "2,4");
    drift(&p, 1, 1, -80.0);
    drift(&p, 3, 1, 80.0);
    played_measure(&p);
    const struct eh_pulse_length *one = &p.pulse.lengths[0];
    cr_assert(fabs(one->drift_ms.value) < 1e-4);
    cr_assert(one->rushed == 1 && one->dragged == 1 && one->held == 0);
    cr_assert_eq(one->verdict, EH_PULSE_UNCLEAR);
    cr_assert_eq(p.pulse.held_bars + p.pulse.lost_bars, 0);
    played_deinit(&p);
}

Test(pulse_lengths, a_stretch_that_could_not_be_measured_does_not_count) {
    struct played_bars p = played_bars(quarters, 1, "2,4");
    drift(&p, 1, 1, -70.0);
    played_miss(&p, 3 * bar_ms, 4 * bar_ms);
    played_measure(&p);
    cr_assert_eq(p.pulse.lengths[0].stretches, 1);
    cr_assert_eq(p.pulse.lengths[0].verdict, EH_PULSE_RUSHED);
    cr_assert_eq(p.pulse.lost_bars, 1);
    played_deinit(&p);
}

/* Two stretches that are known alike: their mean is known by the root of two better. */
Test(pulse_lengths, the_interval_of_a_mean_is_that_of_its_stretches) {
    struct played_bars p =
        played_bars("8: R L R L R L R L | R L R L R L R L | R L R L R L R L | R L R L R L R L | "
                    "R L R L R L R L",
                    1, "2,4");
    for (size_t i = 0; i < p.plan.due_count; i++) {
        p.hits[i].at_ns += (i % 2 == 0 ? 8 : -8) * EH_NS_PER_MS;
    }
    played_measure(&p);
    const struct eh_estimate *one = &p.pulse.stretches[0].drift_ms;
    const struct eh_estimate *both = &p.pulse.lengths[0].drift_ms;
    cr_assert_gt(one->high - one->low, 10.0);
    cr_assert(fabs((one->high - one->low) / (both->high - both->low) - sqrt(2.0)) < 1e-6);
    played_deinit(&p);
}
