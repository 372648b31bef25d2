/* Known pads are found again; what the taps do not show stays unclear. Bounds of the level map
 * follow from what is put in; those of the other figures are wider than what calibrate_figures
 * measures (docs/calibration.md), so that chance does not fail them. */
#include <criterion/criterion.h>
#include <math.h>

#include "recovery.h"

enum { RUNS = 120, COVER_RUNS = 300 };

/* A median of sixteen taps that scatter by 1.5 dB has an SE of 1.2533 * 1.5 / 4 dB. A map that lets
 * neighbours help each other is no worse where the player places his dynamics exactly; and who errs
 * by less than what is allowed for is known at least as well as the map says. */
Test(fit, finds_the_curves_of_known_pads) {
    const struct tapper_player player = tapper_player_usual();
    for (size_t i = 0; i < recovery_pad_count(); i++) {
        const struct tapper_pad pad = recovery_pad(i);
        const struct recovery r = recover(&pad, &player, RUNS, EH_CALIBRATE_TAPS);
        cr_assert_eq(r.found, 1.0, "%s: found in %g", pad.name, r.found);
        cr_assert_leq(r.rms_db, 1.2533 * 1.5 / 4.0, "%s: rms %g dB", pad.name, r.rms_db);
        cr_assert_leq(r.scale_error, r.scale_sd, "%s: %g, told %g", pad.name, r.scale_error,
                      r.scale_sd);
        cr_assert_geq(r.level_covers, 0.90, "%s: covers %g", pad.name, r.level_covers);
    }
}

/* Three standard errors of a share P of N runs. A run's intervals stand or fall together at worst.
 */
static double chance_of(double p, double n) {
    return 3.0 * sqrt(p * (1.0 - p) / n);
}

/* Whatever a player's contrast, day and placing: intervals of 90 % hold the truth, in his own
 * marks, in 85 to 95 %. What one curve beside a law is off by is the same in every run, so of those
 * it is asked together with all pads. A coarse pad's steps count twice, by themselves and in what
 * two visits differ by: there it may be more. */
Test(fit, prints_intervals_that_cover) {
    const struct tapper_player player = tapper_player_as_known();
    const double few = COVER_RUNS;
    double levels = 0.0;
    double differences = 0.0;
    const size_t pads = recovery_pad_count();
    for (size_t i = 0; i < pads; i++) {
        const struct tapper_pad pad = recovery_pad(i);
        const struct recovery r = recover(&pad, &player, COVER_RUNS, EH_CALIBRATE_TAPS);
        levels += r.level_covers / (double)pads;
        differences += r.scale_covers / (double)pads;
        if (pad.curve == CURVE_LAW && pad.bend_db == 0.0) {
            const double most = pad.step > 1.0 ? 1.0 : 0.95 + chance_of(0.95, few);
            const double least = 0.85 - chance_of(0.85, few);
            cr_assert(least <= r.level_covers && r.level_covers <= most, "%s: levels %g", pad.name,
                      r.level_covers);
            cr_assert(least <= r.scale_covers && r.scale_covers <= most, "%s: differences %g",
                      pad.name, r.scale_covers);
        }
    }
    const double all = few * (double)pads;
    cr_assert(levels >= 0.85 - chance_of(0.85, all) && levels <= 0.95 + chance_of(0.95, all),
              "levels %g", levels);
    cr_assert(differences >= 0.85 - chance_of(0.85, all) &&
                  differences <= 0.95 + chance_of(0.95, all),
              "differences %g", differences);
}

/* The map's uncertainty is the player's own: who places his dynamics 3 dB off each time is told so.
 * Six differences with twelve degrees of freedom together make a visit's variance 6 to 7 times that
 * of a player who errs by his taps alone, its root 2.5; the law's share of scale_sd grows by that,
 * the day's (5 %) and the bends' do not. */
Test(fit, knows_less_of_a_player_who_places_his_dynamics_loosely) {
    struct tapper_player player = tapper_player_usual();
    const struct tapper_pad pad = tapper_pad_of("linear", 1.0);
    const struct recovery steady = recover(&pad, &player, RUNS, EH_CALIBRATE_TAPS);
    player.placing_db = 3.0;
    const struct recovery loose = recover(&pad, &player, RUNS, EH_CALIBRATE_TAPS);
    cr_assert_gt(loose.scale_sd, 1.5 * steady.scale_sd, "%g, %g", loose.scale_sd, steady.scale_sd);
    cr_assert_geq(loose.scale_covers, 0.85 - chance_of(0.85, RUNS), "%g", loose.scale_covers);
}

Test(fit, finds_delay_floor_top_mask_and_dead_time) {
    const struct tapper_player player = tapper_player_usual();
    for (size_t i = 0; i < recovery_pad_count(); i++) {
        const struct tapper_pad pad = recovery_pad(i);
        const struct recovery r = recover(&pad, &player, RUNS, EH_CALIBRATE_TAPS);
        cr_assert_leq(fabs(r.delay_bias), 0.9, "%s: delay off by %g ms", pad.name, r.delay_bias);
        cr_assert_geq(r.delay_covers, 0.80, "%s: delay covered in %g", pad.name, r.delay_covers);
        cr_assert(pad.floor < 5 ? r.floor_found == 0 : r.floor_found > 0.95, "%s: floor in %g",
                  pad.name, r.floor_found);
        cr_assert_geq(r.floor_covers, 0.90, "%s: floor covered in %g", pad.name, r.floor_covers);
        const bool has_top = pad.top < 127 || pad.top_db < 5;
        cr_assert(has_top ? r.top_found > 0.95 : r.top_found < 0.15, "%s: top in %g", pad.name,
                  r.top_found);
        const bool has_mask = pad.mask_db > -10;
        cr_assert(has_mask ? r.mask_found > 0.9 : r.mask_found < 0.1, "%s: mask in %g", pad.name,
                  r.mask_found);
        cr_assert(!has_mask || fabs(r.mask_bias) < 1.6, "%s: mask off by %g dB", pad.name,
                  r.mask_bias);
        cr_assert(!has_mask || r.mask_covers > 0.8, "%s: mask covered in %g", pad.name,
                  r.mask_covers);
        cr_assert(has_mask ? r.dead_found < 0.1 : r.dead_found > 0.85, "%s: dead time in %g",
                  pad.name, r.dead_found);
    }
}

static struct eh_calibration calibrate(const struct tapper_pad *pad,
                                       const struct tapper_player *player, uint64_t seed) {
    struct eh_calibration c;
    tapper_calibrate(pad, player, EH_CALIBRATE_TAPS, seed, &c);
    return c;
}

static bool is_as_before(const struct eh_calibration *c) {
    struct eh_pad before;
    eh_pad_init_default(&before);
    return !c->levels_found && c->pad.levels.count == 0 &&
           eh_pad_level_db(&c->pad, 50) == eh_pad_level_db(&before, 50);
}

Test(fit, keeps_the_default_law_when_all_dynamics_sound_alike) {
    struct tapper_player player = tapper_player_usual();
    const struct tapper_pad pad = tapper_pad_of("linear", 1.0);
    player.shading = 0.0;
    const struct eh_calibration c = calibrate(&pad, &player, 1);
    int merged = 0;
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        merged += c.marks[mark].state == EH_CALIBRATE_MERGED;
    }
    cr_assert_geq(merged, 3);
    cr_assert(is_as_before(&c));
}

/* In a player's own marks it is one whether the pad squeezes or he does: the same map, and the same
 * word of how much. */
Test(fit, takes_a_players_marks_as_he_plays_them) {
    struct tapper_player player = tapper_player_usual();
    player.shading = 0.6;
    player.scatter_db = 0.9;
    const struct tapper_pad plain = tapper_pad_of("linear", 1.0);
    const struct eh_calibration shaded = calibrate(&plain, &player, 5);
    player.shading = 1.0;
    player.scatter_db = 1.5;
    const struct tapper_pad hot = tapper_pad_of("hot", 1.0 / 0.6);
    const struct eh_calibration squeezed = calibrate(&hot, &player, 5);
    cr_assert(shaded.levels_found && squeezed.levels_found);
    cr_assert_float_eq(shaded.scale.value, squeezed.scale.value, 0.02);
    /* SE of the law: the taps' 0.47 dB over the written dynamics, 0.47 / 17.3; three of them. */
    cr_assert_float_eq(log(shaded.scale.value * 0.6), 0.0, 3.0 * 0.47 / 17.3);
}

/* A quarter of the written contrast with taps that scatter as usual: in his own marks they scatter
 * by 6 dB, two marks. That is no scale to judge by, and it is said. */
Test(fit, does_not_believe_a_player_who_hardly_shades) {
    struct tapper_player player = tapper_player_usual();
    const struct tapper_pad pad = tapper_pad_of("linear", 1.0);
    player.shading = 0.25;
    int refused = 0;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        const struct eh_calibration c = calibrate(&pad, &player, seed);
        cr_assert(is_as_before(&c), "seed %d", (int)seed);
        refused += c.scale_refused;
    }
    /* In the rest too few dynamics were told apart at all. */
    cr_assert_geq(refused, 10);
    player.shading = 0.7; /* 2.1 dB of spread: a learner's */
    for (uint64_t seed = 1; seed <= 20; seed++) {
        cr_assert(calibrate(&pad, &player, seed).levels_found, "seed %d", (int)seed);
    }
}

Test(fit, draws_a_map_that_never_falls) {
    struct tapper_player player = tapper_player_usual();
    player.scatter_db = 4.0;
    player.placing_db = 4.0;
    for (uint64_t seed = 1; seed <= 200; seed++) {
        struct tapper_pad pad = tapper_pad_of("any", 0.7 + 0.01 * (double)seed);
        pad.step = seed % 2 == 0 ? 8 : 1;
        const struct eh_calibration c = calibrate(&pad, &player, seed);
        const struct eh_level_map *map = &c.pad.levels;
        cr_assert_leq(map->count, EH_LEVEL_POINTS);
        for (size_t i = 1; i < map->count; i++) {
            cr_assert_gt(map->velocity[i], map->velocity[i - 1]);
            cr_assert_geq(map->level_db[i], map->level_db[i - 1]);
        }
    }
}

Test(fit, learns_the_echoes_of_a_pad_and_takes_no_tap_for_one) {
    const struct tapper_player player = tapper_player_usual();
    struct tapper_pad pad = tapper_pad_of("echoes", 1.0);
    pad.mask_until_ms = 0;
    struct eh_calibration c = calibrate(&pad, &player, 3);
    cr_assert_eq(c.echoes, 0);
    cr_assert_eq(c.echo_ms.sure, EH_CALIBRATE_AT_MOST);
    cr_assert_eq(c.pad.retrigger_late_ns, 30 * EH_NS_PER_MS);
    pad.echo_share = 0.15;
    pad.echo_ms = 45;
    pad.echo_db = 5;
    c = calibrate(&pad, &player, 3);
    cr_assert_eq(c.echo_ms.sure, EH_CALIBRATE_FOUND);
    cr_assert_geq(c.echoes, 8);
    cr_assert_leq(c.echo_ms.estimate.value, 45.0);
    cr_assert_geq(c.echo_ms.estimate.value, 36.0);
    cr_assert_geq(c.pad.retrigger_late_ns, 39 * EH_NS_PER_MS);
    cr_assert_leq(c.pad.retrigger_late_ns, 50 * EH_NS_PER_MS);
    cr_assert_leq(c.pad.retrigger_softer_db, 5.0);
    cr_assert_geq(c.pad.retrigger_softer_db, 3.0);
}

Test(fit, of_nothing_leaves_the_pad_as_it_was) {
    const struct tapper_player player = tapper_player_usual();
    struct tapper_pad pad = tapper_pad_of("silent", 1.0);
    pad.floor = 200;
    struct eh_pad before;
    eh_pad_init_default(&before);
    const struct eh_calibration c = calibrate(&pad, &player, 1);
    cr_assert(is_as_before(&c));
    cr_assert_eq(c.pad.delay_ns, 0);
    cr_assert_eq(c.pad.mask_dead_ns, before.mask_dead_ns);
    cr_assert_eq(c.pad.top_velocity, 127);
    cr_assert_eq(c.pad.floor_velocity, 0);
    cr_assert_eq(c.delay_ms.sure, EH_CALIBRATE_UNCLEAR);
    cr_assert_eq(c.mask_db.sure, EH_CALIBRATE_UNCLEAR);
    cr_assert_eq(c.floor.sure, EH_CALIBRATE_UNCLEAR);
}

Test(fit, is_the_same_every_time) {
    const struct tapper_player player = tapper_player_usual();
    const struct tapper_pad pad = tapper_pad_of("linear", 1.3);
    const struct eh_calibration a = calibrate(&pad, &player, 9);
    const struct eh_calibration b = calibrate(&pad, &player, 9);
    for (size_t i = 0; i < a.pad.levels.count; i++) {
        cr_assert_eq(a.pad.levels.level_db[i], b.pad.levels.level_db[i]);
    }
    cr_assert_eq(a.pad.delay_ns, b.pad.delay_ns);
    cr_assert_eq(a.pad.mask_db, b.pad.mask_db);
}
