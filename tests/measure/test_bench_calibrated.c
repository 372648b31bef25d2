/* Calibrated pads of the bench: what is true there is true in the player's own marks. */
#include <criterion/criterion.h>
#include <math.h>

#include "calibrating.h"
#include "shading.h"

/* Three standard errors of a share P of N runs. */
static double chance_of(double p, double n) {
    return 3.0 * sqrt(p * (1.0 - p) / n);
}

/* The variance of N values of Laplace's distribution (kurtosis 6) has a relative SE of
 * sqrt(5 / N), an even distribution between a and b an SD of (b - a) / sqrt(12). */
Test(bench_calibrated, players_differ_by_what_is_assumed) {
    enum { N = 20000 };
    struct chance chance;
    double slips = 0.0;
    double days = 0.0;
    double contrasts = 0.0;
    chance_seed(&chance, 3);
    for (int i = 0; i < N; i++) {
        const double contrast = shading_draw(&chance);
        cr_assert(0.67 <= contrast && contrast <= 1.4919, "%g", contrast);
        contrasts += log(contrast) / N;
        slips += pow(shading_slip(&chance), 2.0) / N;
        days += pow(log(shading_of_a_day(&chance)) / 0.05, 2.0) / N;
    }
    const double bound = 3.0 * sqrt(5.0 / N);
    cr_expect_float_eq(slips, 1.0, bound, "%g", slips);
    cr_expect_float_eq(days, 1.0, bound, "%g", days);
    cr_expect_float_eq(contrasts, 0.0, 3.0 * 0.8 / sqrt(12.0 * N), "%g", contrasts);
}

static void report_two(const struct kit *kit, double contrast, double low_db, double high_db,
                       struct chance *chance, double *out_velocity) {
    struct blows blows = {0};
    struct reported heard = {0};
    blows_add(&blows, (struct blow){.at_ms = 0.0, .level_db = low_db, .role = ROLE_STROKE});
    blows_add(&blows, (struct blow){.at_ms = 1e3, .level_db = high_db, .role = ROLE_STROKE});
    shade(&blows, contrast);
    kit_report(kit, &blows, chance, &heard);
    cr_assert_eq(heard.count, 2);
    for (int i = 0; i < 2; i++) {
        out_velocity[i] = eh_hit_velocity(&heard.hits[i]);
    }
    blows_free(&blows);
    reported_free(&heard);
}

static bool is_calibrated(const struct kit *kit) {
    return kit->told == TOLD_CALIBRATION;
}

Test(bench_calibrated, no_curve_ever_falls) {
    size_t count = 0;
    const struct kit *kits = kit_list(&count);
    struct chance chance;
    chance_seed(&chance, 4);
    for (size_t k = 0; k < count; k++) {
        for (int run = 0; run < 100 && is_calibrated(&kits[k]); run++) {
            const struct kit kit = kit_draw(&kits[k], &chance);
            for (double db = -24.0; db < -2.0; db += 1.0) {
                double v[2];
                report_two(&kit, 1.0, db, db + 1.0, &chance, v);
                cr_assert_geq(v[1], v[0], "%s at %g dB", kit.name, db);
            }
        }
    }
}

/* A player who means 12 dB plays 12 dB of his own by the map that his calibration gave, as often as
 * it says, whatever his contrast and the pad's law. Pads that are straight in dB fall short
 * (docs/calibration.md). */
Test(bench_calibrated, what_a_player_means_is_what_his_map_says) {
    enum { N = 300 };
    const char *const names[] = {"good-calibrated", "hot-calibrated", "dull-calibrated"};
    const struct player player = {.tap_sd = 1.5, .own_ms = 6.8, .wander_ms = 12.5, .keep = 0.89};
    for (size_t k = 0; k < sizeof names / sizeof *names; k++) {
        struct chance chance;
        int covered = 0;
        chance_seed(&chance, 5 + k);
        for (int run = 0; run < N; run++) {
            const struct kit kit = kit_draw(kit_named(names[k]), &chance);
            const double contrast = shading_draw(&chance);
            struct eh_pad pad;
            double v[2];
            calibrate(&kit, &player, contrast, &chance, &pad);
            report_two(&kit, contrast, -16.0, -4.0, &chance, v);
            const double found = eh_pad_level_db(&pad, v[1]) - eh_pad_level_db(&pad, v[0]);
            covered += fabs(log(found / 12.0)) <= 1.645 * pad.levels.scale_sd;
        }
        const double share = (double)covered / N;
        cr_expect(share >= 0.85 - chance_of(0.85, N) && share <= 0.95 + chance_of(0.95, N),
                  "%s: %g", names[k], share);
    }
}
