/* Prints how the ladder does with made-up learners: climb_figures [RUNS]. docs/ladder.md shows it.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "climbs.h"
#include "played.h"

/* The demo player, judged by the judge. */
static void print_played(int runs) {
    printf("\n%-20s %4s  %6s %6s %6s %7s %6s\n", "demo player", "step", "near", "named", "covers",
           "settled", "passes");
    for (size_t i = 0; i < PLAYED_CASES; i++) {
        for (int step = 4; step <= 8; step += 4) {
            struct played_counts c;
            played_run(&c, &played_cases[i], step, runs);
            printf("%-20s %4d  %5.1f%% %5.1f%% %5.1f%%  %5.1f%% %6.1f\n", played_cases[i].name,
                   step, 100.0 * c.near / runs, 100.0 * c.named / runs, 100.0 * c.covered / runs,
                   100.0 * c.settled / runs, c.passes / (double)runs);
        }
    }
}

int main(int argc, char **argv) {
    const int runs = argc > 1 ? atoi(argv[1]) : 100;
    printf("%-10s %4s %4s  %7s %7s %6s %6s %6s  %6s %5s %5s\n", "learner", "step", "row", "ladder",
           "held", "named", "covers", "width", "passes", "9/10", "most");
    for (int gradual = 0; gradual < 2; gradual++) {
        for (size_t i = 0; i < CLIMB_SETTINGS; i++) {
            struct climbs c;
            climbs_run(&c, &climb_settings[i], gradual, runs);
            printf("%-10s %4g %4d  %6.1f%% %6.1f%% %5.1f%% %5.1f%% %5.1f%%  %6.1f %5d %5d\n",
                   gradual ? "gradual" : "at once", climb_settings[i].step,
                   (int)climb_settings[i].in_a_row, 100.0 * c.ladder_near / runs,
                   100.0 * c.held_near / runs, 100.0 * c.named / runs, 100.0 * c.covered / runs,
                   100.0 * c.width / runs, c.passes / (double)runs, c.most_of_nine, c.most);
        }
    }
    print_played(runs);
    return EXIT_SUCCESS;
}
