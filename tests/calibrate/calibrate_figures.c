/* A measurement to be run by hand, not a test: how well known pads are found again.
 *
 *     calibrate_figures [RUNS [TAPS]] */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "recovery.h"

static void print_levels(const struct tapper_player *player, const char *title, int runs,
                         int taps) {
    printf("%s\n%-22s %6s %6s %7s %7s %7s %7s %7s %7s %7s\n", title, "pad", "found", "rms dB",
           "worst dB", "covers", "width", "scale", "sd", "error", "covers");
    for (size_t i = 0; i < recovery_pad_count(); i++) {
        const struct tapper_pad pad = recovery_pad(i);
        const struct recovery r = recover(&pad, player, runs, taps);
        printf("%-22s %5.1f%% %6.2f %7.2f %6.1f%% %7.2f %7.3f %7.3f %7.3f %6.1f%%\n", pad.name,
               100 * r.found, r.rms_db, r.worst_db, 100 * r.level_covers, r.level_width_db,
               r.scale_bias, r.scale_sd, r.scale_error, 100 * r.scale_covers);
    }
}

static void print_rest(const struct tapper_player *player, int runs, int taps) {
    printf("\n%-22s %-13s %-13s %-22s %-22s %-20s\n", "pad", "floor", "top", "mask 40 ms dB",
           "dead ms", "delay ms");
    for (size_t i = 0; i < recovery_pad_count(); i++) {
        const struct tapper_pad pad = recovery_pad(i);
        const struct recovery r = recover(&pad, player, runs, taps);
        printf("%-22s %4.1f %3.0f%% %3.0f%% %5.1f %3.0f%% %+5.1f +-%4.1f %3.0f%% %3.0f%% %+5.1f "
               "+-%4.1f %3.0f%% "
               "%3.0f%% %+5.1f +-%4.1f %3.0f%%\n",
               pad.name, r.floor, 100 * r.floor_found, 100 * r.floor_covers, r.top,
               100 * r.top_found, r.mask_bias, r.mask_sd, 100 * r.mask_found, 100 * r.mask_covers,
               r.dead_bias, r.dead_sd, 100 * r.dead_found, 100 * r.dead_covers, r.delay_bias,
               r.delay_sd, 100 * r.delay_covers);
    }
}

int main(int argc, char **argv) {
    const int runs = argc > 1 ? atoi(argv[1]) : 400;
    const int taps = argc > 2 ? atoi(argv[2]) : EH_CALIBRATE_TAPS;
    struct tapper_player player = tapper_player_usual();
    print_levels(&player, "A player who shades exactly as written", runs, taps);
    print_rest(&player, runs, taps);
    player = tapper_player_as_known();
    print_levels(&player, "\nPlayers as they are taken to be, in their own marks", runs, taps);
    player = tapper_player_usual();
    player.shading = 0.4;
    print_levels(&player, "\nA player who shades only 0.4 of what is written", runs, taps);
    return 0;
}
