/* Answers on standard output, for outside_numbers.py to hold against other people's: lines of
 *     isotonic N y1 w1 y2 w2 ...      the fitted values
 *     median N v1 v2 ...              value, low, high
 * are read from standard input. */
#include <stdio.h>
#include <string.h>

#include "parts.h"

enum { MOST = 256 };

static int answer_isotonic(size_t n) {
    double y[MOST];
    double w[MOST];
    size_t blocks[MOST];
    for (size_t i = 0; i < n; i++) {
        if (scanf("%lf %lf", &y[i], &w[i]) != 2) {
            return 1;
        }
    }
    (void)eh_isotonic(y, w, n, blocks);
    for (size_t i = 0; i < n; i++) {
        printf("%.17g ", y[i]);
    }
    puts("");
    return 0;
}

static int answer_median(size_t n) {
    double v[MOST];
    for (size_t i = 0; i < n; i++) {
        if (scanf("%lf", &v[i]) != 1) {
            return 1;
        }
    }
    const struct eh_estimate m = eh_velocity_median(v, n, 0, 0.0);
    printf("%.17g %.17g %.17g\n", m.value, m.low, m.high);
    return 0;
}

int main(void) {
    char what[16];
    size_t n = 0;
    while (scanf("%15s %zu", what, &n) == 2) {
        if (n > MOST || (strcmp(what, "isotonic") == 0 ? answer_isotonic(n) : answer_median(n))) {
            return 1;
        }
    }
    return 0;
}
