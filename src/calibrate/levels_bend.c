/* A pad's curve beside its law: a smooth bend, seen through the errors of the dynamics (kriging:
 * a normal process of which some readings are known; Cressie 1993, Statistics for Spatial Data,
 * chapter 3; from memory). */
#include <math.h>

#include "levels.h"

enum { KNOTS = EH_CALIBRATE_MARKS };

/* SE of a median against that of a mean: sqrt(pi / 2). */
static const double median_se = 1.2533141373155003;

/* How far a curve's bends go and over how much they are alike: a pad that follows a law, and one
 * that does not. Choices, no source. */
struct bends {
    double db, reach_db;
};
static const struct bends kinds[] = {{2.0, 15.0}, {5.0, 10.0}};

/* The level as a whole means nothing: it may lie anywhere. */
static const double anywhere_db2 = 400.0;

/* Half of a coarse pad's step, as dB at a knot. */
static double step_db(const struct eh_levels *levels, const struct eh_knot *knot) {
    const double uniform = levels->step / sqrt(12.0);
    return levels->scale * 20.0 / log(10.0) * uniform / exp(knot->log_velocity);
}

/* What a dynamic errs by, squared. */
static double noise(const struct eh_levels *levels, const struct eh_knot *knot) {
    const double tap_se = median_se * levels->tap_sd / sqrt(knot->weight);
    const double step_se = step_db(levels, knot);
    return eh_placing_db * eh_placing_db + tap_se * tap_se + step_se * step_se;
}

/* Solves A x = Y for a positive definite A by elimination; all of it is lost. Y holds x then.
 * Returns the logarithm of the determinant. */
static double solve(double a[KNOTS][KNOTS], double *y, size_t n) {
    for (size_t i = 0; i < n; i++) {
        for (size_t k = i + 1; k < n; k++) {
            const double factor = a[k][i] / a[i][i];
            for (size_t c = i; c < n; c++) {
                a[k][c] -= factor * a[i][c];
            }
            y[k] -= factor * y[i];
        }
    }
    double log_det = 0.0;
    for (size_t i = n; i-- > 0;) {
        log_det += log(a[i][i]);
        for (size_t c = i + 1; c < n; c++) {
            y[i] -= a[i][c] * y[c];
        }
        y[i] /= a[i][i];
    }
    return log_det;
}

/* What is thought of two levels X, Y on the law before they are read: their bends alone, and with
 * SLOPE the law and the whole level as well. */
static double prior(const struct bends *kind, double x, double y, bool slope) {
    const double apart = (x - y) / kind->reach_db;
    const double bend = kind->db * kind->db * exp(-0.5 * apart * apart);
    return slope ? bend + eh_law_sd * eh_law_sd * x * y + anywhere_db2 : bend;
}

/* The prior times the inverse of prior and noise, times Y; in place. Returns the logarithm of how
 * likely Y was, but for a constant. */
static double smooth(const struct eh_levels *levels, const struct bends *kind, const double *x,
                     bool slope, double *y) {
    double a[KNOTS][KNOTS] = {{0}};
    double weight[KNOTS] = {0};
    for (size_t i = 0; i < levels->count; i++) {
        for (size_t k = 0; k < levels->count; k++) {
            a[i][k] =
                prior(kind, x[i], x[k], slope) + (i == k ? noise(levels, &levels->knots[i]) : 0.0);
        }
        weight[i] = y[i];
    }
    double fits = -0.5 * solve(a, weight, levels->count);
    for (size_t i = 0; i < levels->count; i++) {
        fits -= 0.5 * y[i] * weight[i];
    }
    for (size_t i = 0; i < levels->count; i++) {
        y[i] = 0.0;
        for (size_t k = 0; k < levels->count; k++) {
            y[i] += prior(kind, x[i], x[k], slope) * weight[k];
        }
    }
    return fits;
}

/* What is still not known of the sum of levels that PLUS and MINUS weigh: MINUS = COUNT, none. */
static double variance(const struct eh_levels *levels, const struct bends *kind, const double *x,
                       size_t plus, size_t minus) {
    const bool slope = minus < levels->count;
    double before[KNOTS] = {0};
    double after[KNOTS] = {0};
    for (size_t i = 0; i < levels->count; i++) {
        before[i] =
            prior(kind, x[i], x[plus], slope) - (slope ? prior(kind, x[i], x[minus], slope) : 0.0);
        after[i] = before[i];
    }
    (void)smooth(levels, kind, x, slope, after);
    const double less = slope ? before[minus] - after[minus] : 0.0;
    return fmax(before[plus] - after[plus] - less, 0.0);
}

/* The mean over all pairs of dynamics of the squared error of their difference, as a share. */
static double share_sd(const struct eh_levels *levels, const struct bends *kind, const double *x) {
    double sum = 0;
    double pairs = 0;
    for (size_t i = 0; i < levels->count; i++) {
        for (size_t k = i + 1; k < levels->count; k++) {
            if (levels->knots[i].block != levels->knots[k].block) {
                const double apart = x[k] - x[i];
                sum += variance(levels, kind, x, k, i) / (apart * apart);
                pairs += 1;
            }
        }
    }
    return sqrt(sum / pairs);
}

/* The likelier kind. */
static const struct bends *choose(const struct eh_levels *levels, const double *x,
                                  const double *bend) {
    double fits[2];
    for (size_t kind = 0; kind < 2; kind++) {
        double y[KNOTS] = {0};
        for (size_t i = 0; i < levels->count; i++) {
            y[i] = bend[i];
        }
        fits[kind] = smooth(levels, &kinds[kind], x, true, y);
    }
    return fits[1] > fits[0] ? &kinds[1] : &kinds[0];
}

double eh_levels_bend(struct eh_levels *levels, double law_mean_db, double written_mean_db,
                      double measured) {
    const double squeeze = levels->scale / measured;
    double x[KNOTS] = {0};
    double bend[KNOTS] = {0};
    for (size_t i = 0; i < levels->count; i++) {
        const struct eh_knot *knot = &levels->knots[i];
        x[i] = levels->scale * (knot->law_db - law_mean_db);
        bend[i] = squeeze * (knot->written_db - written_mean_db) - x[i];
    }
    const struct bends *kind = choose(levels, x, bend);
    (void)smooth(levels, kind, x, false, bend);
    for (size_t i = 0; i < levels->count; i++) {
        levels->knots[i].level_db = law_mean_db + x[i] + bend[i];
        levels->knots[i].level_se = sqrt(variance(levels, kind, x, i, levels->count));
    }
    return share_sd(levels, kind, x);
}
