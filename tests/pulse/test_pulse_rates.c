/* How often the intervals hold what the beat did. docs/pulse.md has the figures of two thousand
 * runs each; the bounds here are wider by what three hundred may differ. */
#include <criterion/criterion.h>

#include "evenhand/pulse.h"
#include "wander.h"

enum { RUNS = 300 };

/* A steady beat: 90 % intervals; three in four with one that goes far astray. */
Test(pulse_rates, the_intervals_hold_the_beat) {
    static const int bars[] = {1, 2, 4, 8};
    for (size_t b = 0; b < sizeof bars / sizeof bars[0]; b++) {
        for (int strokes = 1; strokes <= 4; strokes *= 2) {
            const struct wander_case even = {{3.0, 0.0, 8.0}, bars[b], strokes};
            const struct wander_case astray = {{0.0, 12.0, 8.0}, bars[b], strokes};
            const struct wander_rates a = wander_try(&even, RUNS, 7);
            const struct wander_rates c = wander_try(&astray, RUNS, 7);
            cr_expect_geq(a.covered, 0.86 * RUNS, "%d bars, %d: %d", bars[b], strokes, a.covered);
            cr_expect_geq(c.covered, 0.70 * RUNS, "%d bars, %d: %d", bars[b], strokes, c.covered);
            cr_expect_leq(a.wrong + c.wrong, 0.05 * RUNS);
        }
    }
}

Test(pulse_rates, a_tempo_of_ones_own_is_found_and_none_is_not) {
    const struct wander_case with = {{0.0, 6.0, 8.0}, 4, 2};
    const struct wander_case fast = {{4.0, 6.0, 8.0}, 4, 2};
    const struct wander_case slow = {{-4.0, 6.0, 8.0}, 4, 2};
    cr_expect_geq(wander_try(&with, RUNS, 3).said[EH_PULSE_HELD], 0.97 * RUNS);
    cr_expect_geq(wander_try(&fast, RUNS, 3).said[EH_PULSE_RUSHED], 0.97 * RUNS);
    cr_expect_geq(wander_try(&slow, RUNS, 3).said[EH_PULSE_DRAGGED], 0.97 * RUNS);
}
