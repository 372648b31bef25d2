#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

#include "evenhand/stats.h"
#include "placed.h"
#include "places_sure.h"

static struct placed placed;

static void play(const char *etude, const char *faults, double bpm, uint64_t seed) {
    const struct placed_ask ask = {etude, faults, bpm, seed, false};
    cr_assert(placed_play(&placed, &ask), "%s %s", etude, faults);
}

/* The bars in which ASPECT fails, as a bit set; bit 0: it fails throughout. */
static uint64_t failing(enum eh_aspect aspect) {
    uint64_t bars = 0;
    for (size_t i = 0; i < placed.places.count; i++) {
        const struct eh_located *l = &placed.places.located[i];
        if (l->finding.aspect != (uint8_t)aspect) {
            continue;
        }
        bars |= l->throughout ? 1u : 0u;
        for (size_t k = 0; k < l->place_count; k++) {
            for (int32_t bar = l->places[k].first_bar; bar <= l->places[k].last_bar; bar++) {
                bars |= (uint64_t)1 << bar;
            }
        }
    }
    return bars;
}

static uint64_t bars_from(int first, int last) {
    uint64_t bars = 0;
    for (int bar = first; bar <= last; bar++) {
        bars |= (uint64_t)1 << bar;
    }
    return bars;
}

static void expect_bars(enum eh_aspect aspect, int first, int last) {
    cr_expect_eq(failing(aspect), bars_from(first, last), "%s fails in %llx, not in %d to %d",
                 eh_aspect_text(aspect), (unsigned long long)failing(aspect), first, last);
}

/* Whether any bar is named by an aspect other than ASPECT. */
static bool others_fail(enum eh_aspect aspect) {
    for (int other = 0; other < EH_ASPECT_COUNT; other++) {
        if (other != (int)aspect && failing((enum eh_aspect)other) != 0) {
            return true;
        }
    }
    return false;
}

Test(places, a_run_without_a_fault_has_none) {
    static const char *const etudes[] = {"rudimental-etude", "concert-etude"};
    for (uint64_t seed = 1; seed <= 3; seed++) {
        play(etudes[seed % 2], "none", 70 + 25 * (double)(seed - 1), seed);
        cr_expect_not(others_fail(EH_ASPECT_COUNT));
        placed_deinit(&placed);
    }
}

Test(places, names_the_bars_of_one_hand_that_is_late) {
    play("concert-etude", "late-left:40/9-12", 90, 2);
    expect_bars(EH_ASPECT_HAND_TIMING, 9, 12);
    cr_expect_not(others_fail(EH_ASPECT_HAND_TIMING));
    placed_deinit(&placed);
}

Test(places, names_the_bars_of_accents_that_are_under) {
    play("rudimental-etude", "under-accents:0/25-28", 90, 3);
    expect_bars(EH_ASPECT_ACCENT, 25, 28);
    placed_deinit(&placed);
}

Test(places, names_the_bars_of_strokes_left_out_and_the_share_is_the_styles) {
    play("rudimental-etude", "missed:20/5-8", 90, 1);
    expect_bars(EH_ASPECT_MISSED, 5, 8);
    placed_deinit(&placed);
}

Test(places, two_places_of_one_fault_are_two) {
    play("rudimental-etude", "strong-right:10/1-4,strong-right:10/25-28", 90, 1);
    const uint64_t bars = failing(EH_ASPECT_HAND_LEVEL);
    cr_expect_eq(bars & bars_from(5, 24), 0u, "%llx", (unsigned long long)bars);
    cr_expect_neq(bars & bars_from(1, 4), 0u);
    cr_expect_neq(bars & bars_from(25, 28), 0u);
    placed_deinit(&placed);
}

Test(places, a_fault_of_the_whole_run_is_throughout) {
    static const struct {
        const char *fault;
        enum eh_aspect aspect;
    } rows[] = {{"late-left-seconds", EH_ASPECT_DIDDLE_SPACING},
                {"strong-left", EH_ASPECT_HAND_LEVEL},
                {"late-right", EH_ASPECT_HAND_TIMING}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        play("rudimental-etude", rows[i].fault, 70, 4);
        cr_expect_eq(failing(rows[i].aspect), 1u, "%s", rows[i].fault);
        placed_deinit(&placed);
    }
}

/* The finding of a place is the judge's own of these bars, its interval alone is wider. */
Test(places, an_interval_allows_for_all_stretches) {
    play("concert-etude", "late-left:40/9-12", 90, 2);
    bool met = false;
    for (size_t i = 0; i < placed.places.count; i++) {
        const struct eh_located *l = &placed.places.located[i];
        for (size_t k = 0; k < l->place_count; k++) {
            const struct eh_finding *f = &l->places[k].finding;
            met = true;
            cr_expect_eq(f->fault, EH_FAULT_YES);
            cr_expect_eq(f->direction, EH_DIRECTION_LEFT_LATE);
            cr_expect_float_eq(f->value, 40, 8);
            cr_expect_gt(f->low, f->limit_high, "all of it lies beyond");
            cr_expect_gt(l->stretches, 100);
        }
    }
    cr_expect(met);
    placed_deinit(&placed);
}

/* ---- How sure ---- */

static struct eh_pad pad;
static struct eh_style style = {.missed_share = 0.02, .extra_share = 0.02};
static const struct eh_judgement run = {.pad = &pad, .style = &style};

static struct eh_finding made(double value, double half, double low, double high,
                              const char *unit) {
    struct eh_finding f = {.aspect = EH_ASPECT_HAND_TIMING,
                           .fault = EH_FAULT_YES,
                           .value = value,
                           .low = value - half,
                           .high = value + half,
                           .limit_low = low,
                           .limit_high = high,
                           .n = 20};
    (void)snprintf(f.unit, sizeof f.unit, "%s", unit);
    return f;
}

/* By hand: a 90 % interval's half is 1.645 errors; 20 lies two halves beyond 10. */
Test(places_sure, counts_in_standard_errors_beyond_the_limit) {
    const struct eh_finding above = made(20, 5, -10, 10, "ms");
    const struct eh_finding below = made(-20, 5, -10, 10, "ms");
    const struct eh_finding at = made(10, 5, -10, 10, "ms");
    cr_expect_float_eq(places_sure(&run, &above), 2 * 1.6448536, 1e-5);
    cr_expect_float_eq(places_sure(&run, &below), 2 * 1.6448536, 1e-5);
    cr_expect_eq(places_sure(&run, &at), 0.0);
    struct eh_finding fine = above;
    fine.fault = EH_FAULT_UNCLEAR;
    cr_expect_eq(places_sure(&run, &fine), 0.0);
}

/* Bonferroni: of 100 stretches each leaves out 0.05 / 100 at a side; the normal quantile of 0.9995
 * is 3.2905 (tables of the normal distribution). */
Test(places_sure, many_stretches_ask_for_more) {
    struct eh_finding f = made(20, 1.6448536, -10, 10, "ms");
    cr_expect_float_eq(places_least_sure(100), 3.2905, 1e-3);
    cr_expect_float_eq(places_least_sure(1), 1.6449, 1e-3);
    places_widen(&run, 100, &f);
    cr_expect_float_eq(f.low, 20 - 3.2905, 1e-3);
    cr_expect_float_eq(f.high, 20 + 3.2905, 1e-3);
}

/* What the map may be wrong by has to be got over whole, and is not widened: exp(-0.1645) of 20 dB
 * leaves 16.97, so 14 dB is surely passed however many look, and 18 dB never is. */
Test(places_sure, the_pads_map_is_wrong_in_all_stretches_alike) {
    eh_pad_init_default(&pad);
    pad.levels.scale_sd = 0.1;
    const double map = 20 * (1 - exp(-0.16448536));
    struct eh_finding f = made(20, map * 1.0001, NAN, 14, "dB");
    const double own = map * 1.0001 / 3; /* a third at least is the reading's own */
    cr_expect_float_eq(places_sure(&run, &f), 1.6448536 * sqrt(36 - map * map) / own, 1e-3);
    f.limit_high = 18;
    cr_expect_eq(places_sure(&run, &f), 0.0);
}

/* The binomial tail by hand: of 3 strokes at 0.02, at least 2 fail with 3 x 0.02^2 x 0.98 + 0.02^3
 * = 0.001184, whose normal quantile is 3.040. */
Test(places_sure, an_exact_count_is_asked_how_likely_it_is) {
    struct eh_finding f = made(2, 0, 0, 1, "strokes");
    f.aspect = EH_ASPECT_MISSED;
    f.n = 3;
    cr_expect_float_eq(places_sure(&run, &f), 3.040, 2e-3);
    places_widen(&run, 100, &f);
    cr_expect_eq(f.low, 2, "a count has no interval to widen");
}
