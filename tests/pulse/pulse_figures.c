/* pulse_figures [RUNS]: how often the intervals hold what the beat did, and what is said. */
#include <stdio.h>
#include <stdlib.h>

#include "wander.h"

static void print(double percent, double timekeeper_ms, int bars, int strokes, int runs) {
    const struct wander_case what = {{percent, timekeeper_ms, 8.0}, bars, strokes};
    const struct wander_rates r = wander_try(&what, runs, 1);
    printf("| %+g | %g | %d | %d | %.1f | %.0f | %.1f | %.1f | %.1f | %.1f | %.2f |\n", percent,
           timekeeper_ms, bars, strokes, 100.0 * r.covered / runs, r.width_ms / 2.0,
           100.0 * r.said[1] / runs, 100.0 * r.said[2] / runs, 100.0 * r.said[3] / runs,
           100.0 * r.said[0] / runs, 100.0 * r.wrong / runs);
}

int main(int argc, char **argv) {
    static const double percents[] = {0.0, 2.0, 3.0, 4.0, -4.0};
    static const double timekeepers[] = {0.0, 6.0, 12.0};
    static const int bars[] = {1, 2, 4, 8};
    static const int strokes[] = {1, 2, 4};
    const int runs = argc > 1 ? (int)strtol(argv[1], NULL, 10) : 1000;
    printf("| own tempo %% | timekeeper ms | bars | strokes a beat | covered %% | half width ms | "
           "held | rushed | dragged | unclear | wrong %% |\n");
    for (size_t t = 0; t < sizeof timekeepers / sizeof timekeepers[0]; t++) {
        for (size_t s = 0; s < sizeof strokes / sizeof strokes[0]; s++) {
            for (size_t b = 0; b < sizeof bars / sizeof bars[0]; b++) {
                for (size_t p = 0; p < sizeof percents / sizeof percents[0]; p++) {
                    print(percents[p], timekeepers[t], bars[b], strokes[s], runs);
                }
            }
        }
    }
    return 0;
}
