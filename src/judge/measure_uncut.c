/* Readings of which the pad has cut off what lies under its mask.
 *
 * What is left of a normal distribution, each reading cut off where its own gap has the mask: the
 * likeliest centre and spread (Cohen 1950, Ann. Math. Stat. 21, 557-569) solve two equations that
 * are gone through in turn. A hand whose readings are mostly cut off knows little of its spread;
 * the other hand's tell it too. */
#include "measure.h"

enum { ROUNDS = 200 };

/* What a cut leaves of a variance is rarely less than half: variances that differ by more than this
 * are not one scatter. */
static const double alike = 3.0;

/* A reading further off than this many spreads counts as if it stood there. */
static const double bound = 3.0;

/* Cuts further below the centre, in spreads, take nothing. */
static const double nothing = -6.0;
static const double most = 3.0;

/* Of a standard normal variable that is cut off below Z: the mean, and what it has above Z. */
struct left {
    double hazard, seen;
};

static struct left left_above(double z) {
    if (z <= nothing) {
        return (struct left){0.0, 1.0};
    }
    double seen = eh_normal_cdf(-z);
    return (struct left){exp(-z * z / 2.0) / 2.50662827463100050242 / seen, seen}; /* sqrt(2 pi) */
}

static double cut_in_spreads(const struct measure_cut *c, size_t i, double centre, double spread) {
    return fmin((fmin(c->cut[i], c->v[i]) - centre) / spread, most);
}

static double kept(double rest, double spread) {
    return fmin(fmax(rest, -bound * spread), bound * spread);
}

/* One round for a hand: its new centre; adds to the sums that the new spread comes from. */
static double improve(const struct measure_cut *c, double centre, double spread, double *squares,
                      double *freedom) {
    double move = 0.0;
    for (size_t i = 0; i < c->n; i++) {
        double z = cut_in_spreads(c, i, centre, spread);
        double hazard = left_above(z).hazard;
        double rest = kept(c->v[i] - centre, spread);
        move += rest - spread * hazard;
        *squares += rest * rest;
        *freedom += hazard > 0.0 ? fmax(1.0 + z * hazard, 0.1) : 1.0;
    }
    return centre + move / (double)c->n;
}

/* What a hand's readings tell of its centre, of the spread, and of both together. */
struct told {
    double centre, both, spread;
};

static struct told told_by(const struct measure_cut *c, double centre, double spread) {
    struct told t = {0.0, 0.0, 0.0};
    for (size_t i = 0; i < c->n; i++) {
        double z = fmax(cut_in_spreads(c, i, centre, spread), nothing);
        double h = left_above(z).hazard;
        double square = 1.0 + z * h;
        t.centre += square - h * h;
        t.both += 2.0 * h + z * z * h - h * square;
        t.spread += 3.0 + 3.0 * z * h + z * z * z * h - square * square;
    }
    return t;
}

/* Standard error of the first hand's centre, the spread and the other's centre being unknown. */
static double error_of(const struct measure_cut *const *hands, const double *centre, int count,
                       double spread) {
    struct told own = told_by(hands[0], centre[0], spread);
    double known = own.spread;
    if (count == 2) {
        struct told other = told_by(hands[1], centre[1], spread);
        known += other.spread - other.both * other.both / fmax(other.centre, 1e-3);
    }
    double left = own.centre - own.both * own.both / fmax(known, 1e-3);
    return spread / sqrt(fmax(left, 0.05 * (double)hands[0]->n));
}

static double hidden_behind(const struct measure_cut *c, double centre, double spread) {
    double sum = 0.0;
    for (size_t i = 0; i < c->n; i++) {
        double seen = left_above(cut_in_spreads(c, i, centre, spread)).seen;
        sum += (1.0 - seen) / seen;
    }
    return sum;
}

struct eh_estimate measure_uncut(const struct measure_cut *own, const struct measure_cut *other,
                                 double *out_hidden) {
    const struct measure_cut *hands[2] = {own, other};
    double centre[2] = {eh_mean(own->v, own->n), other->n > 0 ? eh_mean(other->v, other->n) : NAN};
    double spread = eh_sd(own->v, own->n);
    double ratio = other->n >= 4 ? eh_sd(other->v, other->n) / spread : NAN;
    int count = ratio * ratio < alike && ratio * ratio > 1.0 / alike ? 2 : 1;
    *out_hidden = 0.0;
    if (own->n < 4 || !(spread > 1e-6)) {
        return (struct eh_estimate){NAN, NAN, NAN, own->n};
    }
    double all = (double)own->n + (count == 2 ? (double)other->n : 0.0);
    for (int round = 0; round < ROUNDS; round++) {
        double squares = 0.0;
        double freedom = 0.0;
        double last = centre[0];
        for (int k = 0; k < count; k++) {
            centre[k] = improve(hands[k], centre[k], spread, &squares, &freedom);
        }
        spread = fmax(sqrt(squares / freedom), 1e-3);
        if (fabs(centre[0] - last) < 1e-4 * spread) {
            break;
        }
    }
    *out_hidden = hidden_behind(own, centre[0], spread);
    double student = eh_student_quantile(0.5 + MEASURE_CONFIDENCE / 2.0, all - count);
    double half = student * sqrt(all / (all - count)) * error_of(hands, centre, count, spread);
    return (struct eh_estimate){centre[0], centre[0] - half, centre[0] + half, own->n};
}
