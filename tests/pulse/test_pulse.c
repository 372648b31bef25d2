#include <criterion/criterion.h>
#include <math.h>

#include "played_bars.h"

/* At 100 to the quarter: bar N from 0 begins at N times 2400 ms. */
static const char quarters[] =
    "4: R L R L | R L R L | R L R L | R L R L | R L R L | R L R L | R L R L | R L R L | "
    "R L R L | R L R L | R L R L | R L R L";
static const char eighths[] = "8: R L R L R L R L | R L R L R L R L | R L R L R L R L | "
                              "R L R L R L R L | R L R L R L R L | R L R L R L R L";
static const double bar_ms = 2400.0;

/* SILENT bars from BAR on, over which the beat goes DRIFT_MS; the first stroke after them is played
 * before the click is heard, the next one with it. */
static struct played_bars play_drift(const char *music, const char *silent, int bar, int bars,
                                     double drift_ms) {
    struct played_bars p = played_bars(music, 1, silent);
    const double from = bar * bar_ms;
    const double to = from + bars * bar_ms;
    played_move(&p, from, to + 1.0, 0.0, drift_ms / (to - from) * 1000.0);
    played_measure(&p);
    return p;
}

static void check_near(double value, double wanted, double most) {
    cr_assert(fabs(value - wanted) <= most, "%.6f is not %.6f", value, wanted);
}

Test(pulse, the_drift_is_what_the_beat_did_to_the_next_bar_line) {
    struct played_bars p = play_drift(quarters, "3", 2, 1, -24.0);
    cr_assert_eq(p.pulse.stretch_count, 1);
    const struct eh_pulse_stretch *s = &p.pulse.stretches[0];
    cr_assert_eq(s->drift_ms.n, 5);
    check_near(s->drift_ms.value, -24.0, 1e-4);
    check_near(s->drift_ms.low, -24.0, 1e-4);
    check_near(s->drift_ms.high, -24.0, 1e-4);
    check_near(s->tempo_percent.value, 100.0 * (2400.0 / 2376.0 - 1.0), 1e-4); /* 1.0101 */
    check_near(s->tolerance_ms, 60.0, 1e-9);
    cr_assert_eq(s->verdict, EH_PULSE_HELD);
    played_deinit(&p);
}

Test(pulse, the_tolerance_is_two_and_a_half_percent_of_a_bar) {
    static const struct {
        double drift_ms;
        enum eh_pulse_verdict verdict;
    } cases[] = {{-59.0, EH_PULSE_HELD},
                 {-61.0, EH_PULSE_RUSHED},
                 {59.0, EH_PULSE_HELD},
                 {61.0, EH_PULSE_DRAGGED}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct played_bars p = play_drift(quarters, "3", 2, 1, cases[i].drift_ms);
        cr_assert_eq(p.pulse.stretches[0].verdict, cases[i].verdict, "%g: %s", cases[i].drift_ms,
                     eh_pulse_text(p.pulse.stretches[0].verdict));
        played_deinit(&p);
    }
}

/* 2.5 % of two bars are 120 ms, of four 240 ms: more than a quarter of the beat, 150 ms. */
Test(pulse, it_is_never_more_than_a_quarter_of_a_beat) {
    static const struct {
        const char *silent;
        int bars;
        double most_ms;
    } cases[] = {{"3-4", 2, 120.0}, {"3-6", 4, 150.0}, {"3-10", 8, 150.0}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        for (int step = -1; step <= 1; step += 2) {
            struct played_bars p =
                play_drift(quarters, cases[i].silent, 2, cases[i].bars, cases[i].most_ms + step);
            check_near(p.pulse.stretches[0].tolerance_ms, cases[i].most_ms, 1e-9);
            cr_assert_eq(p.pulse.stretches[0].verdict, step < 0 ? EH_PULSE_HELD : EH_PULSE_DRAGGED);
            played_deinit(&p);
        }
    }
}

/* Strokes now early, now late by as much: the lines are those of least squares, and nothing
 * follows from one stroke to the next. A line through nine strokes, an eighth of its length apart:
 * the sum of squares is 60/64, so the drift's error is 1.0328 times a stroke's; Student's quantile
 * for 7 degrees of freedom is 1.895 (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2).
 */
Test(pulse, the_interval_of_one_bar_follows_from_its_strokes) {
    struct played_bars p = played_bars(eighths, 1, "3");
    for (size_t i = 0; i < p.plan.due_count; i++) {
        p.hits[i].at_ns += (i % 2 == 0 ? 8 : -8) * EH_NS_PER_MS;
    }
    played_measure(&p);
    const struct eh_pulse_stretch *s = &p.pulse.stretches[0];
    cr_assert_eq(s->drift_ms.n, 9);
    cr_assert_gt(p.pulse.scatter_ms, 6.0);
    check_near((s->drift_ms.high - s->drift_ms.low) / 2.0 / p.pulse.scatter_ms, 1.895 * 1.0328,
               0.01);
    played_deinit(&p);
}

/* Two bars: the beginning from the first one's eight strokes (sum of squares 42/49: 0.6455 at the
 * end of the line), the end from the last one's nine (0.6146); together 0.8913. Student's quantile
 * for 17 - 4 degrees of freedom is 1.771 (as above). */
Test(pulse, the_interval_of_several_bars_follows_from_the_first_and_the_last) {
    struct played_bars p = played_bars(eighths, 1, "3-4");
    for (size_t i = 0; i < p.plan.due_count; i++) {
        p.hits[i].at_ns += (i % 2 == 0 ? 8 : -8) * EH_NS_PER_MS;
    }
    played_measure(&p);
    const struct eh_pulse_stretch *s = &p.pulse.stretches[0];
    cr_assert_eq(s->drift_ms.n, 17);
    check_near((s->drift_ms.high - s->drift_ms.low) / 2.0 / p.pulse.scatter_ms, 1.771 * 0.8913,
               0.01);
    played_deinit(&p);
}

/* Thirty early and thirty late in the middle: at the end the beat is where it began. */
Test(pulse, what_the_tempo_does_in_between_needs_no_model) {
    struct played_bars p = played_bars(eighths, 1, "2-5");
    played_move(&p, 2 * bar_ms, 3 * bar_ms, -30.0, 0.0);
    played_move(&p, 3 * bar_ms, 4 * bar_ms, 30.0, 0.0);
    played_measure(&p);
    check_near(p.pulse.stretches[0].drift_ms.value, 0.0, 1e-6);
    played_deinit(&p);
}

Test(pulse, four_strokes_say_nothing_and_five_do) {
    struct played_bars p = played_bars(quarters, 1, "3");
    played_miss(&p, 3 * bar_ms, 3 * bar_ms + 1.0);
    played_measure(&p);
    const struct eh_pulse_stretch *s = &p.pulse.stretches[0];
    cr_assert_eq(s->drift_ms.n, 4);
    cr_assert(isnan(s->drift_ms.value) && isnan(s->tempo_percent.value));
    cr_assert_eq(s->verdict, EH_PULSE_UNCLEAR);
    cr_assert_not(s->returned);
    cr_assert_eq(p.pulse.lengths[0].stretches, 0);
    cr_assert_eq(p.pulse.lengths[0].verdict, EH_PULSE_UNCLEAR);
    cr_assert_eq(p.pulse.held_bars + p.pulse.lost_bars, 0);
    played_deinit(&p);
}

Test(pulse, a_player_who_falls_silent_with_the_click_is_unclear) {
    struct played_bars p = played_bars(quarters, 1, "3-6");
    played_miss(&p, 2 * bar_ms, 6 * bar_ms);
    played_measure(&p);
    cr_assert_eq(p.pulse.stretches[0].drift_ms.n, 1);
    cr_assert_eq(p.pulse.stretches[0].verdict, EH_PULSE_UNCLEAR);
    played_deinit(&p);
}

/* One second stroke in three is a fault of its own. */
Test(pulse, second_strokes_and_grace_notes_are_no_beat) {
    static const char doubles[] = "16: RR LL RR LL RR LL RR LL | RR LL RR LL RR LL RR LL | "
                                  "RR LL RR LL RR LL RR LL | RR LL RR LL RR LL RR LL";
    struct played_bars p = played_bars(doubles, 1, "2");
    for (size_t i = 1; i < p.plan.due_count; i += 2) {
        p.hits[i].at_ns += (int64_t)i * EH_NS_PER_MS;
    }
    played_measure(&p);
    cr_assert_eq(p.pulse.stretches[0].drift_ms.n, 9);
    check_near(p.pulse.stretches[0].drift_ms.value, 0.0, 1e-6);
    played_deinit(&p);
}

/* A beat lasts 600 ms, so within 15 ms he is back. */
Test(pulse, the_way_back_is_counted_in_beats) {
    static const struct {
        double left_ms[4]; /* of the error on the first beats with the click */
        int32_t beats;
    } cases[] = {{{-40.0, -14.0, 0.0, 0.0}, 1},
                 {{-40.0, -16.0, -14.0, 0.0}, 2},
                 {{-40.0, -30.0, -20.0, -10.0}, 3},
                 {{-14.0, -20.0, 0.0, 0.0}, 0},
                 {{-40.0, -30.0, -20.0, -16.0}, EH_PULSE_NOT_BACK}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct played_bars p = played_bars(quarters, 1, "3,5");
        const double at = 3 * bar_ms;
        played_move(&p, 2 * bar_ms, at, 0.0, cases[i].left_ms[0] / 2.4);
        for (int beat = 0; beat < 4; beat++) {
            played_move(&p, at + beat * 600.0, at + beat * 600.0 + 1.0, cases[i].left_ms[beat],
                        0.0);
        }
        played_measure(&p);
        cr_assert(p.pulse.stretches[0].returned);
        check_near(p.pulse.stretches[0].return_ms.value, cases[i].left_ms[0], 1e-4);
        cr_assert_eq(p.pulse.stretches[0].beats_back, cases[i].beats, "%zu: %d", i,
                     (int)p.pulse.stretches[0].beats_back);
        played_deinit(&p);
    }
}

/* Everybody has an offset of his own from a click, and he is back when he is there again. */
Test(pulse, a_constant_offset_is_no_drift) {
    struct played_bars p = played_bars(quarters, 1, "3-4");
    played_move(&p, 0.0, 100 * bar_ms, -35.0, 0.0);
    played_measure(&p);
    check_near(p.pulse.usual_ms, -35.0, 1e-6);
    check_near(p.pulse.stretches[0].drift_ms.value, 0.0, 1e-6);
    check_near(p.pulse.stretches[0].return_ms.value, 0.0, 1e-6);
    cr_assert_eq(p.pulse.stretches[0].beats_back, 0);
    check_near(p.pulse.bars[2].offset_ms, -35.0, 1e-6);
    cr_assert(p.pulse.bars[2].silent && !p.pulse.bars[1].silent);
    played_deinit(&p);
}

Test(pulse, nothing_comes_back_at_the_end_of_a_pass) {
    struct played_bars p = played_bars("4: R L R L | R L R L", 2, "2,4");
    played_measure(&p);
    cr_assert_eq(p.pulse.stretch_count, 2);
    for (size_t i = 0; i < 2; i++) {
        cr_assert_not(p.pulse.stretches[i].returned);
        cr_assert_eq(p.pulse.stretches[i].pass, (int)i);
        cr_assert_eq(p.pulse.stretches[i].first_written, 2);
        cr_assert_eq(p.pulse.stretches[i].drift_ms.n, 4, "nor is there a stroke after it");
    }
    played_deinit(&p);
}

Test(pulse, without_a_silent_bar_there_is_nothing_to_measure) {
    struct played_bars p = played_bars(quarters, 1, "");
    cr_assert_eq(eh_pulse_measure(&p.pulse, &p.plan, p.matches, p.hits, p.silent), EH_EMPTY);
    cr_assert_null(p.pulse.stretches);
    played_deinit(&p);
}

Test(pulse, a_drift_that_no_tempo_makes_has_no_tempo) {
    cr_assert(isnan(eh_pulse_percent(-2400.0, 2400.0)));
    check_near(eh_pulse_percent(-1200.0, 2400.0), 100.0, 1e-9);
    check_near(eh_pulse_percent(2400.0, 2400.0), -50.0, 1e-9);
}

/* A player who has left a beat out is a beat ahead from there on, which is no drift. */
Test(pulse, whole_beats_of_another_place_in_the_score_are_no_drift) {
    struct played_bars p = played_bars(quarters, 1, "3-4");
    for (size_t i = 10; i < p.plan.due_count; i++) {
        p.matches[i].shift_ns = -600 * EH_NS_PER_MS;
        p.hits[i].at_ns -= 600 * EH_NS_PER_MS;
    }
    played_measure(&p);
    check_near(p.pulse.stretches[0].drift_ms.value, 0.0, 1e-6);
    played_deinit(&p);
}

Test(pulse, the_usual_place_is_the_one_before_the_first_silence) {
    struct played_bars p = played_bars(eighths, 1, "2");
    played_move(&p, 0.0, bar_ms, -10.0, 0.0);
    played_move(&p, bar_ms, 6 * bar_ms, 40.0, 0.0);
    played_measure(&p);
    check_near(p.pulse.usual_ms, -10.0, 1e-6);
    check_near(p.pulse.stretches[0].return_ms.value, 50.0, 1e-4);
    played_deinit(&p);
}

/* The beat that brings the click back cannot have been put right by it. */
Test(pulse, nobody_is_back_on_the_beat_that_brings_the_click) {
    struct played_bars p = played_bars(eighths, 1, "3");
    played_move(&p, 2 * bar_ms, 3 * bar_ms, 0.0, -40.0 / 2.4);
    played_move(&p, 3 * bar_ms, 3 * bar_ms + 1.0, -40.0, 0.0);
    played_move(&p, 3 * bar_ms + 300.0, 3 * bar_ms + 301.0, 20.0, 0.0);
    played_measure(&p);
    cr_assert_eq(p.pulse.stretches[0].beats_back, 1);
    played_deinit(&p);
}
