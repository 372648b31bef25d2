/* A pad's curve beside its law: a smooth bend, seen through the errors of the dynamics (kriging:
 * a normal process of which some readings are known; Cressie 1993, Statistics for Spatial Data,
 * chapter 3; from memory). How far pads bend is not known, so that several answers are weighed by
 * how likely they make what was played (Bayesian model averaging: Hoeting, Madigan, Raftery &
 * Volinsky 1999, Stat. Sci. 14, 382-417; from memory). */
#include <math.h>

#include "levels.h"

enum { KNOTS = EH_CALIBRATE_MARKS, KINDS = EH_LEVEL_KINDS };

/* How far a curve bends and over how much it is alike: a pad that follows a law, one that nearly
 * does, and one that does not. Choices, no source. */
static const struct bends {
    double db, reach_db;
} kinds[KINDS] = {{0.7, 12.0}, {2.0, 12.0}, {6.0, 12.0}};

/* The level as a whole means nothing: it may lie anywhere. */
static const double anywhere_db2 = 400.0;

/* Pairs of dynamics nearer than this, written dB, tell of placing more than of the pad: two
 * marks. */
static const double apart_least_db = 5.0;

struct matrix {
    double at[KNOTS][KNOTS];
};

/* What is thought of the levels once they are read. */
struct belief {
    double pull[KNOTS]; /* of each reading on the curve */
    double bend[KNOTS]; /* beside the law, the law being as it was found */
    struct matrix left; /* what is still not known of the levels, law and all */
};

/* Inverts a positive definite A in place (Gauss and Jordan). Returns the logarithm of its
 * determinant. */
static double invert(struct matrix *a, size_t n) {
    double log_det = 0.0;
    for (size_t p = 0; p < n; p++) {
        const double pivot = a->at[p][p];
        log_det += log(pivot);
        a->at[p][p] = 1.0;
        for (size_t c = 0; c < n; c++) {
            a->at[p][c] /= pivot;
        }
        for (size_t r = 0; r < n; r++) {
            const double factor = a->at[r][p];
            if (r == p) {
                continue;
            }
            a->at[r][p] = 0.0;
            for (size_t c = 0; c < n; c++) {
                a->at[r][c] -= factor * a->at[p][c];
            }
        }
    }
    return log_det;
}

/* What is thought of two levels X, Y on the law before they are read: their bends alone, and with
 * LAW the law and the whole level as well. */
static double prior(const struct bends *kind, double x, double y, bool law) {
    const double apart = (x - y) / kind->reach_db;
    const double bend = kind->db * kind->db * exp(-0.5 * apart * apart);
    return law ? bend + eh_law_sd * eh_law_sd * x * y + anywhere_db2 : bend;
}

/* PULL is (K + noise)^-1 Y, LEFT what is not known once Y is. Returns the logarithm of how likely Y
 * is, but for a constant. */
static double condition(const struct eh_levels *levels, const struct bends *kind, const double *x,
                        const double *y, bool law, double *pull, struct matrix *left) {
    const size_t n = levels->count;
    struct matrix whole = {{{0}}};
    for (size_t i = 0; i < n; i++) {
        for (size_t k = 0; k < n; k++) {
            whole.at[i][k] = prior(kind, x[i], x[k], law);
        }
        whole.at[i][i] += eh_levels_error(levels, &levels->knots[i]);
    }
    double likely = -0.5 * invert(&whole, n);
    for (size_t i = 0; i < n; i++) {
        double share[KNOTS] = {0};
        pull[i] = 0.0;
        for (size_t k = 0; k < n; k++) {
            for (size_t c = 0; c < n; c++) {
                share[k] += prior(kind, x[i], x[c], law) * whole.at[c][k];
            }
            pull[i] += whole.at[i][k] * y[k];
        }
        likely -= 0.5 * y[i] * pull[i];
        for (size_t k = 0; k < n; k++) {
            left->at[i][k] = prior(kind, x[i], x[k], law);
            for (size_t c = 0; c < n; c++) {
                left->at[i][k] -= share[c] * prior(kind, x[c], x[k], law);
            }
        }
    }
    return likely;
}

/* Logarithm of the kinds' mean likelihood. */
static double likely_of_all(const double *likely) {
    double most = likely[0];
    double sum = 0.0;
    for (int kind = 1; kind < KINDS; kind++) {
        most = fmax(most, likely[kind]);
    }
    for (int kind = 0; kind < KINDS; kind++) {
        sum += exp(likely[kind] - most);
    }
    return most + log(sum / KINDS);
}

/* All kinds together, each by its weight; what they differ in is uncertain too. */
static struct belief weigh(const struct belief *each, const double *likely, size_t n,
                           double *weight) {
    struct belief all = {{0}, {0}, {{{0}}}};
    const double whole = likely_of_all(likely);
    for (int kind = 0; kind < KINDS; kind++) {
        weight[kind] = exp(likely[kind] - whole) / KINDS;
        for (size_t i = 0; i < n; i++) {
            all.bend[i] += weight[kind] * each[kind].bend[i];
        }
    }
    for (int kind = 0; kind < KINDS; kind++) {
        for (size_t i = 0; i < n; i++) {
            for (size_t k = 0; k < n; k++) {
                const double differ =
                    (each[kind].bend[i] - all.bend[i]) * (each[kind].bend[k] - all.bend[k]);
                const double w = weight[kind];
                all.left.at[i][k] += w * (each[kind].left.at[i][k] + differ);
            }
        }
    }
    return all;
}

/* The mean over pairs of dynamics of the squared error of their difference, as a share. */
static double share_sd(const struct eh_levels *levels, const double *x, const struct matrix *left,
                       double least_db) {
    double sum = 0;
    double pairs = 0;
    for (size_t i = 0; i < levels->count; i++) {
        for (size_t k = i + 1; k < levels->count; k++) {
            const double apart = x[k] - x[i];
            if (levels->knots[i].block != levels->knots[k].block && apart >= least_db) {
                const double error = left->at[i][i] + left->at[k][k] - 2.0 * left->at[i][k];
                sum += fmax(error, 0.0) / (apart * apart);
                pairs += 1;
            }
        }
    }
    return pairs > 0 ? sqrt(sum / pairs) : share_sd(levels, x, left, 0.0);
}

/* One standard error of a level against the middle of all: as a whole they may lie anywhere. */
static double level_se(const struct matrix *left, size_t i, size_t n) {
    double whole = 0.0;
    double across = 0.0;
    for (size_t k = 0; k < n; k++) {
        across += left->at[i][k] / (double)n;
        for (size_t c = 0; c < n; c++) {
            whole += left->at[k][c] / (double)(n * n);
        }
    }
    return sqrt(fmax(left->at[i][i] - 2.0 * across + whole, 0.0));
}

double eh_levels_beside(const struct eh_levels *levels, double law_level_db) {
    double beside = 0.0;
    for (size_t i = 0; i < levels->count; i++) {
        const struct eh_knot *knot = &levels->knots[i];
        for (int kind = 0; kind < KINDS; kind++) {
            beside +=
                knot->pull[kind] * prior(&kinds[kind], law_level_db, knot->law_level_db, false);
        }
    }
    return beside;
}

double eh_levels_bend(struct eh_levels *levels, double law_mean_db, double written_mean_db) {
    const size_t n = levels->count;
    double x[KNOTS] = {0};
    double rest[KNOTS] = {0};
    double likely[KINDS];
    double weight[KINDS];
    double unused[KNOTS];
    struct belief each[KINDS];
    for (size_t i = 0; i < n; i++) {
        const struct eh_knot *knot = &levels->knots[i];
        x[i] = levels->scale * (knot->law_db - law_mean_db);
        rest[i] = knot->written_db - written_mean_db - x[i];
    }
    for (int kind = 0; kind < KINDS; kind++) {
        struct belief *belief = &each[kind];
        (void)condition(levels, &kinds[kind], x, rest, false, belief->pull, &belief->left);
        likely[kind] = condition(levels, &kinds[kind], x, rest, true, unused, &belief->left);
        for (size_t i = 0; i < n; i++) {
            belief->bend[i] = 0.0;
            for (size_t k = 0; k < n; k++) {
                belief->bend[i] += prior(&kinds[kind], x[i], x[k], false) * belief->pull[k];
            }
        }
    }
    const struct belief all = weigh(each, likely, n, weight);
    levels->likely = likely_of_all(likely);
    for (size_t i = 0; i < n; i++) {
        struct eh_knot *knot = &levels->knots[i];
        levels->likely += log(levels->scale * eh_levels_slope(levels, exp(knot->log_velocity)));
        knot->law_level_db = law_mean_db + x[i];
        knot->level_db = knot->law_level_db + all.bend[i];
        knot->level_se = level_se(&all.left, i, n);
        for (int kind = 0; kind < KINDS; kind++) {
            knot->pull[kind] = weight[kind] * each[kind].pull[i];
        }
    }
    return share_sd(levels, x, &all.left, apart_least_db);
}
