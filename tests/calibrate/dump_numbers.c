/* Answers on standard output, for outside_numbers.py to hold against other people's: lines of
 *     isotonic N y1 w1 y2 w2 ...      the fitted values
 *     median N v1 v2 ...              value, low, high
 *     bend N variance x1 y1 x2 y2 ... levels by a law X and as written Y: the curve at each, its
 * SE, and last one SE of differences as a share are read from standard input. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "levels.h"

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

/* The law is that X is right as a whole, the velocities are steps of nothing. */
static int answer_bend(size_t n) {
    struct eh_levels levels = {.scale = 1.0, .count = n, .blocks = n};
    if (n > EH_CALIBRATE_MARKS || scanf("%lf", &levels.visit_var) != 1) {
        return 1;
    }
    for (size_t i = 0; i < n; i++) {
        struct eh_knot *knot = &levels.knots[i];
        *knot = (struct eh_knot){.mark = (int)i, .block = i};
        for (int visit = 0; visit < EH_CALIBRATE_VISITS; visit++) {
            levels.visits[i][visit] = visit == 0 ? 0.0 : NAN;
        }
        if (scanf("%lf %lf", &knot->law_db, &knot->written_db) != 2) {
            return 1;
        }
    }
    const double sd = eh_levels_bend(&levels, 0.0, 0.0);
    for (size_t i = 0; i < n; i++) {
        printf("%.17g %.17g ", levels.knots[i].level_db, levels.knots[i].level_se);
    }
    printf("%.17g\n", sd);
    return 0;
}

static int answer(const char *what, size_t n) {
    if (strcmp(what, "bend") == 0) {
        return answer_bend(n);
    }
    return strcmp(what, "isotonic") == 0 ? answer_isotonic(n) : answer_median(n);
}

int main(void) {
    char what[16];
    size_t n = 0;
    while (scanf("%15s %zu", what, &n) == 2) {
        if (n > MOST || answer(what, n) != 0) {
            return 1;
        }
    }
    return 0;
}
