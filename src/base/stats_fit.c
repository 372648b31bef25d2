/* Lines and curves through points. */
#include "evenhand/stats.h"

#include <float.h>
#include <math.h>
#include <string.h>

#include "stats_matrix.h"

struct eh_line eh_line_fit(const double *x, const double *y, size_t n) {
    struct eh_line line = {NAN, NAN, NAN, NAN, NAN};
    if (n < 3) {
        return line;
    }
    double mx = eh_mean(x, n);
    double my = eh_mean(y, n);
    double sxx = 0.0;
    double sxy = 0.0;
    for (size_t i = 0; i < n; i++) {
        sxx += (x[i] - mx) * (x[i] - mx);
        sxy += (x[i] - mx) * (y[i] - my);
    }
    if (!(sxx > 0.0)) {
        return line;
    }
    line.slope = sxy / sxx;
    line.intercept = my - line.slope * mx;
    double squares = 0.0;
    for (size_t i = 0; i < n; i++) {
        double rest = (y[i] - my) - line.slope * (x[i] - mx);
        squares += rest * rest;
    }
    double variance = squares / (double)(n - 2);
    line.residual_sd = sqrt(variance);
    line.slope_se = sqrt(variance / sxx);
    line.intercept_se = sqrt(variance * (1.0 / (double)n + mx * mx / sxx));
    return line;
}

/* ---- Theil-Sen ---- */

/* Merges V[FROM .. MIDDLE) and V[MIDDLE .. END) into OUT and counts the pairs that stood in falling
 * order. Which comes next is as good as random, so nothing branches on it. */
static size_t merge(const double *v, size_t from, size_t middle, size_t end, double *out) {
    size_t count = 0;
    size_t i = from;
    size_t j = middle;
    size_t k = from;
    while (i < middle && j < end) {
        const double x = v[i];
        const double y = v[j];
        const size_t second = y < x;
        out[k++] = y < x ? y : x;
        count += (middle - i) & (0 - second);
        i += 1 - second;
        j += second;
    }
    memcpy(out + k, v + i, (middle - i) * sizeof *v);
    memcpy(out + k + (middle - i), v + j, (end - j) * sizeof *v);
    return count;
}

/* How many pairs stand in falling order; sorts V by merging, with ROOM for N values. */
static size_t inversions(double *v, double *room, size_t n) {
    size_t count = 0;
    for (size_t width = 1; width < n; width *= 2) {
        for (size_t from = 0; from < n; from += 2 * width) {
            size_t middle = from + width < n ? from + width : n;
            size_t end = middle + width < n ? middle + width : n;
            count += merge(v, from, middle, end, room);
        }
        memcpy(v, room, n * sizeof *v);
    }
    return count;
}

struct points {
    const double *x, *y;
    size_t n, step; /* every STEP-th point is used: N of them */
    double *rest, *room;
};

static size_t same_x(const struct points *p, size_t from) {
    size_t end = from + 1;
    while (end < p->n && p->x[end * p->step] <= p->x[from * p->step]) {
        end++;
    }
    return end;
}

/* How many pairs of different X have a slope below B: those that stand in falling order once the
 * slope has been taken off. Points of equal X are put in rising order so that they never count. */
static size_t slopes_below(const struct points *p, double b) {
    for (size_t i = 0; i < p->n; i++) {
        p->rest[i] = p->y[i * p->step] - b * (p->x[i * p->step] - p->x[0]);
    }
    for (size_t i = 0; i < p->n;) {
        size_t end = same_x(p, i);
        eh_sort(p->rest + i, end - i);
        i = end;
    }
    return inversions(p->rest, p->room, p->n);
}

static size_t usable_pairs(const struct points *p) {
    size_t all = p->n * (p->n - 1) / 2;
    for (size_t i = 0; i < p->n;) {
        size_t end = same_x(p, i);
        all -= (end - i) * (end - i - 1) / 2;
        i = end;
    }
    return all;
}

/* A slope that no pair exceeds in size. */
static double steepest(const struct points *p) {
    double low = p->y[0];
    double high = p->y[0];
    double step = INFINITY;
    for (size_t i = 1; i < p->n; i++) {
        double y = p->y[i * p->step];
        double dx = p->x[i * p->step] - p->x[(i - 1) * p->step];
        low = fmin(low, y);
        high = fmax(high, y);
        if (dx > 0.0) {
            step = fmin(step, dx);
        }
    }
    return (high - low) / step;
}

/* Slopes between two numbers, BELOW of all lying below LOW and UPTO below HIGH. */
struct slopes {
    double low, high;
    size_t below, upto;
};

static void halve(const struct points *p, size_t k, double middle, struct slopes *s) {
    const size_t count = slopes_below(p, middle);
    if (count >= k) {
        s->high = middle;
        s->upto = count;
    } else {
        s->low = middle;
        s->below = count;
    }
}

enum { LISTED = 2048 };

/* Writes down the slopes within, LISTED at most; 0 when there are more. */
static size_t list_slopes(const struct points *p, const struct slopes *s, double *out) {
    size_t count = 0;
    for (size_t i = 0; i < p->n; i++) {
        for (size_t j = i + 1; j < p->n; j++) {
            const double dx = p->x[j * p->step] - p->x[i * p->step];
            const double slope = (p->y[j * p->step] - p->y[i * p->step]) / dx;
            if (!(dx > 0.0) || slope < s->low || slope > s->high) {
                continue;
            }
            if (count == LISTED) {
                return 0;
            }
            out[count++] = slope;
        }
    }
    return count;
}

/* Draws the numbers in to either side of the sought slope, as it was computed from its own pair. */
static void draw_in(const struct points *p, size_t k, struct slopes *s) {
    double list[LISTED];
    while (s->upto - s->below > LISTED) {
        const double middle = s->low + (s->high - s->low) / 2.0;
        if (middle <= s->low || middle >= s->high) {
            return;
        }
        halve(p, k, middle, s);
    }
    const size_t count = list_slopes(p, s, list);
    if (k - s->below > count) {
        return;
    }
    const double slope = eh_select(list, count, k - s->below - 1);
    double reach = 1e-13 * fabs(slope) + DBL_MIN;
    for (int turn = 0; turn < 4; turn++, reach *= 16.0) {
        if (slope - reach > s->low) {
            halve(p, k, slope - reach, s);
        }
        if (slope + reach < s->high) {
            halve(p, k, slope + reach, s);
        }
        if (s->high - s->low <= 2.0 * reach) {
            return;
        }
    }
}

/* The K-th smallest slope, K from 1, by halving down to the last bits. */
static double select_slope(const struct points *p, size_t k) {
    const double most = steepest(p) * (1.0 + 1e-12) + DBL_MIN;
    struct slopes s = {-most, most, 0, usable_pairs(p)};
    draw_in(p, k, &s);
    for (int i = 0; i < 200; i++) {
        const double middle = s.low + (s.high - s.low) / 2.0;
        if (middle <= s.low || middle >= s.high) {
            break;
        }
        halve(p, k, middle, &s);
    }
    return s.low;
}

struct eh_estimate eh_slope(const double *x, const double *y, size_t n, double confidence,
                            double *scratch) {
    struct eh_estimate e = {NAN, NAN, NAN, n};
    if (n < 2) {
        return e;
    }
    size_t step = (n + EH_STATS_EXACT - 1) / EH_STATS_EXACT;
    struct points p = {x, y, (n + step - 1) / step, step, scratch, scratch + n};
    size_t all = usable_pairs(&p);
    if (all == 0) {
        return e;
    }
    double upper = select_slope(&p, all / 2 + 1);
    e.value = all % 2 == 1 ? upper : (upper + select_slope(&p, all / 2)) / 2.0;
    /* Sen 1968: the slopes' ranks follow Kendall's statistic. */
    double m = (double)n;
    double share = sqrt(m * (m - 1.0) * (2.0 * m + 5.0) / 18.0) / (m * (m - 1.0) / 2.0);
    double half = eh_normal_quantile(0.5 + confidence / 2.0) * share * (double)all / 2.0;
    double rank = floor((double)all / 2.0 - half);
    size_t low = rank >= 1.0 ? (size_t)rank : 1;
    if (n >= 4) {
        e.low = select_slope(&p, low);
        e.high = select_slope(&p, all + 1 - low);
    }
    return e;
}

/* ---- Huber's M-estimate of a polynomial ---- */

#define HUBER_K 1.345 /* 95 % efficient on normal data; Huber 1981, Robust Statistics */

enum { TERMS = EH_CURVE_DEGREE + 1, ROUNDS = 12 };

static double at(const struct eh_curve *c, double x) {
    double y = 0.0;
    for (int i = c->degree; i >= 0; i--) {
        y = y * x + c->c[i];
    }
    return y;
}

static double weight(double rest, double bound) {
    double size = fabs(rest);
    return size <= bound ? 1.0 : bound / size;
}

/* One weighted least-squares step. BOUND infinite: plain. */
static int step(struct eh_curve *c, const double *x, const double *y, double bound) {
    double normal[TERMS][TERMS] = {{0}};
    double right[TERMS] = {0};
    int size = c->degree + 1;
    for (size_t k = 0; k < c->n; k++) {
        double w = isinf(bound) ? 1.0 : weight(y[k] - at(c, x[k]), bound);
        double powers[2 * TERMS - 1] = {1.0};
        for (int i = 1; i < 2 * size - 1; i++) {
            powers[i] = powers[i - 1] * x[k];
        }
        for (int i = 0; i < size; i++) {
            right[i] += w * powers[i] * y[k];
            for (int j = 0; j < size; j++) {
                normal[i][j] += w * powers[i + j];
            }
        }
    }
    if (!eh_invert3(normal, c->cov, size, NULL)) {
        return 0;
    }
    for (int i = 0; i < size; i++) {
        c->c[i] = 0.0;
        for (int j = 0; j < size; j++) {
            c->c[i] += c->cov[i][j] * right[j];
        }
    }
    return 1;
}

static void rests(const struct eh_curve *c, const double *x, const double *y, double *out) {
    for (size_t k = 0; k < c->n; k++) {
        out[k] = y[k] - at(c, x[k]);
    }
}

/* Huber's proposal for the errors of the coefficients: the mean square of the bounded residuals
 * over the squared share of residuals that were not bounded, times (X'X)^-1. */
static void errors(struct eh_curve *c, const double *x, const double *y, double *rest) {
    double bound = HUBER_K * c->scale;
    double squares = 0.0;
    size_t inside = 0;
    rests(c, x, y, rest);
    for (size_t k = 0; k < c->n; k++) {
        double bounded = rest[k] * weight(rest[k], bound);
        inside += fabs(rest[k]) <= bound;
        squares += bounded * bounded;
        rest[k] = bounded;
    }
    double share = inside > 0 ? (double)inside / (double)c->n : 1.0;
    double variance = squares / (double)(c->n - (size_t)c->degree - 1) / (share * share);
    struct eh_curve plain = *c;
    (void)step(&plain, x, y, INFINITY);
    for (int i = 0; i <= c->degree; i++) {
        for (int j = 0; j <= c->degree; j++) {
            c->cov[i][j] = variance * plain.cov[i][j];
        }
    }
}

/* The residuals of a fit are less correlated than the errors were: by about (1 + p + 3 r) / n,
 * after Kendall 1954, Biometrika 41, 403-404, for a mean. */
static void correlation(struct eh_curve *c, const double *rest) {
    double n = (double)c->n;
    double r = eh_lag1(rest, c->n);
    double p = (double)c->degree + 1.0;
    double better = isfinite(r) && n > 8.0 ? (r + p / n) / (1.0 - 3.0 / n) : 0.0;
    c->lag1 = fmin(fmax(better, 0.0), 0.8);
    c->widen = sqrt((1.0 + c->lag1) / (1.0 - c->lag1));
}

struct eh_curve eh_curve_fit(const double *x, const double *y, size_t n, int degree,
                             double *scratch) {
    struct eh_curve c = {.degree = degree, .n = n, .widen = 1.0};
    double *rest = scratch;
    double *copy = scratch + n;
    c.c[0] = NAN;
    if (n <= (size_t)degree + 2 || !step(&c, x, y, INFINITY)) {
        c.c[0] = NAN;
        return c;
    }
    double last = INFINITY;
    for (int round = 0; round < ROUNDS; round++) {
        rests(&c, x, y, rest);
        memcpy(copy, rest, n * sizeof *copy);
        c.scale = eh_mad(copy, n);
        if (!(c.scale > 0.0) || fabs(last - c.scale) <= 1e-5 * c.scale) {
            break;
        }
        last = c.scale;
        (void)step(&c, x, y, HUBER_K * c.scale);
    }
    errors(&c, x, y, rest);
    correlation(&c, rest);
    return c;
}
