/* The centre of one hand's readings.
 *
 * Huber's M-estimate: as efficient as the mean on clean readings, and hardly moved by the tails
 * that human playing has (docs/measures.md). At sixteen strokes a hand knows little of its own
 * scatter; the other hand's readings, about their own centre, tell the same scatter again, so they
 * are asked too unless the two differ plainly. */
#include <math.h>
#include <string.h>

#include "measure.h"

/* A reading further off than this many scales counts as if it stood there. */
static const double bound = 1.5;

/* Variances that differ by more than this are not one scatter: two groups of 16 do so by chance in
 * one case of ten (F distribution). */
static const double alike = 2.0;

enum { ROUNDS = 12 };

/* What a group of readings comes to. */
struct group {
    double centre, scale;
    double squares; /* of the bounded rests */
    size_t n, inside;
};

static double step(const struct group *g, const double *v) {
    double sum = 0.0;
    double most = bound * g->scale;
    for (size_t i = 0; i < g->n; i++) {
        sum += fmin(fmax(v[i] - g->centre, -most), most);
    }
    return sum;
}

static size_t count_inside(const struct group *g, const double *v, double *out_squares) {
    size_t inside = 0;
    double most = bound * g->scale;
    *out_squares = 0.0;
    for (size_t i = 0; i < g->n; i++) {
        double rest = v[i] - g->centre;
        inside += fabs(rest) <= most;
        rest = fmin(fmax(rest, -most), most);
        *out_squares += rest * rest;
    }
    return inside;
}

/* Readings alike to this much (levels of a pad with few steps) have no scale to speak of. */
static const double alike_to = 1e-6;

/* ROOM holds N values. False when over half of the readings are alike. */
static bool settle(struct group *g, const double *v, size_t n, double *room) {
    *g = (struct group){.n = n};
    memcpy(room, v, n * sizeof *v);
    g->centre = eh_median(room, n);
    g->scale = eh_mad(room, n);
    if (!(g->scale > alike_to)) {
        return false;
    }
    for (int round = 0; round < ROUNDS; round++) {
        g->inside = count_inside(g, v, &g->squares);
        double move = step(g, v) / (double)g->inside; /* Newton: the slope counts those inside */
        g->centre += move;
        if (fabs(move) < 1e-9 * g->scale) {
            break;
        }
    }
    g->inside = count_inside(g, v, &g->squares);
    return true;
}

static double own_variance(const struct group *g) {
    return g->squares / (double)(g->n - 1);
}

/* Huber 1981, Robust Statistics: the mean square of the bounded rests over the squared share of
 * rests that were not bounded. OUT_FREE: degrees of freedom. */
static double variance(const struct group *g, const struct group *other, double *out_free) {
    double squares = g->squares;
    double free = (double)g->n - 1.0;
    double share = (double)g->inside / (double)g->n;
    double ratio = other->n > 3 ? own_variance(g) / own_variance(other) : 0.0;
    if (ratio > 1.0 / alike && ratio < alike) {
        squares += other->squares;
        free += (double)other->n - 1.0;
        share = (double)(g->inside + other->inside) / (double)(g->n + other->n);
    }
    *out_free = free;
    return squares / free / (share * share);
}

static struct eh_estimate widened(struct eh_estimate e, double add) {
    e.low = e.value - hypot(e.value - e.low, add);
    e.high = e.value + hypot(e.high - e.value, add);
    return e;
}

struct eh_estimate measure_centre(double *a, size_t n, const double *other, size_t other_n,
                                  double clock, double *room) {
    struct group own;
    struct group more = {.n = 0};
    double add = 1.645 * clock;
    if (n < 4 || !settle(&own, a, n, room)) {
        return widened(eh_location(a, n, MEASURE_CONFIDENCE), add);
    }
    if (other_n < 4 || !settle(&more, other, other_n, room)) {
        more.n = 0;
    }
    double free = 1.0;
    double square = variance(&own, &more, &free) / (double)n;
    double half = eh_student_quantile(0.5 + MEASURE_CONFIDENCE / 2.0, free) * sqrt(square);
    struct eh_estimate e = {own.centre, own.centre - half, own.centre + half, n};
    return widened(e, add);
}
