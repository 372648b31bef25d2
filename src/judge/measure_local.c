/* The player's own course: where the local tempo and the local level lie, and how the hands differ.
 *
 * Trend and hands are found together: readings and hands are both freed of their local lines, and
 * what is left of the readings is regressed on what is left of the hands (Robinson 1988,
 * Econometrica 56, 931-954). So a slow drift is not taken for a difference of hands, whatever the
 * sticking, and where the sticking cannot tell them apart the interval says so. Readings far off
 * count less, and their weights are found in rounds. */
#include "measure.h"

#include <math.h>

enum {
    REACH = 8,         /* readings either side: about two beats of sixteenths */
    ROUNDS = 3,        /* of weights */
    RENEW = 64,        /* readings after which the running sums are made afresh */
    SCALE_FROM = 2048, /* readings that are enough to tell their scale */
    LAGS = 4           /* over which rests are allowed to follow each other */
};

static const double bound = 2.0; /* in scales: beyond it a rest counts less */

/* A scale is no smaller, so that rounding never weighs the strokes of exact playing. */
static const double least_db = 0.05;
static const double least_ms = 0.01;

/* Running sums of a weighted window, X measured from an origin nearby. */
struct window {
    double origin, w, wx, wxx, wy, wxy, wd, wxd;
    size_t from, to; /* [from, to) */
};

static double side_of(const struct measure_local *l, size_t i) {
    return l->hand[i] == 0 ? 0.5 : -0.5;
}

static void add(struct window *s, const struct measure_local *l, size_t i, double sign) {
    double w = sign * l->weight[i];
    double x = l->x[i] - s->origin;
    double d = side_of(l, i);
    s->w += w;
    s->wx += w * x;
    s->wxx += w * x * x;
    s->wy += w * l->y[i];
    s->wxy += w * x * l->y[i];
    s->wd += w * d;
    s->wxd += w * x * d;
}

static void restart(struct window *s, const struct measure_local *l, size_t from, size_t to,
                    double origin) {
    *s = (struct window){.origin = origin, .from = from, .to = to};
    for (size_t i = from; i < to; i++) {
        add(s, l, i, 1.0);
    }
}

static void move(struct window *s, const struct measure_local *l, size_t from, size_t to) {
    while (s->to < to) {
        add(s, l, s->to++, 1.0);
    }
    while (s->from < from) {
        add(s, l, s->from++, -1.0);
    }
}

/* The lines through readings and hands at X, and how much of a reading there they take. Few
 * readings, or all at one place: the means. */
struct line {
    double y, d, taken;
};

static struct line line_at(const struct window *s, double x) {
    struct line at = {s->wy / s->w, s->wd / s->w, 1.0 / s->w};
    double mx = s->wx / s->w;
    double sxx = s->wxx - s->wx * mx;
    if (s->to - s->from < 4 || !(sxx > 1e-9 * s->wxx)) {
        return at;
    }
    double dx = x - s->origin - mx;
    at.y += dx * (s->wxy - s->wy * mx) / sxx;
    at.d += dx * (s->wxd - s->wd * mx) / sxx;
    at.taken += dx * dx / sxx;
    return at;
}

static int32_t stretch_of(const struct measures *m, const struct measure_local *l, size_t i) {
    const struct measure_stroke *r = &m->row[l->row[i]];
    return l->by_passage ? r->passage : r->stretch;
}

static void fit_stretch(struct measure_local *l, double *d_trend, size_t begin, size_t end) {
    struct window s = {0};
    for (size_t i = begin; i < end; i++) {
        size_t from = i > begin + REACH ? i - REACH : begin;
        size_t to = end - i > REACH + 1 ? i + REACH + 1 : end;
        if ((i - begin) % RENEW == 0) {
            restart(&s, l, from, to, l->x[i]);
        } else {
            move(&s, l, from, to);
        }
        struct line at = line_at(&s, l->x[i]);
        l->trend[i] = at.y;
        d_trend[i] = at.d;
        double left = sqrt(fmax(1.0 - at.taken * l->weight[i], 0.1));
        bool alone = end - begin == 1;
        l->rest[i] = alone ? 0.0 : (l->y[i] - at.y) / left;
        l->lean[i] = alone ? 0.0 : (side_of(l, i) - at.d) / left;
    }
}

static void fit_lines(const struct measures *m, struct measure_local *l, double *d_trend) {
    for (size_t begin = 0; begin < l->n;) {
        size_t end = begin + 1;
        while (end < l->n && stretch_of(m, l, end) == stretch_of(m, l, begin)) {
            end++;
        }
        fit_stretch(l, d_trend, begin, end);
        begin = end;
    }
}

/* Takes the hands' difference out of trend and rests and returns it. NAN when the hands lean too
 * little against each other: less than four strokes of each hand in turns would. */
static double fit_hands(struct measure_local *l, const double *d_trend) {
    double dd = 0.0;
    double dy = 0.0;
    for (size_t i = 0; i < l->n; i++) {
        dd += l->weight[i] * l->lean[i] * l->lean[i];
        dy += l->weight[i] * l->lean[i] * l->rest[i];
    }
    double difference = dd >= 2.0 ? dy / dd : 0.0;
    for (size_t i = 0; i < l->n; i++) {
        l->rest[i] -= difference * l->lean[i];
        l->trend[i] -= difference * d_trend[i];
    }
    return dd >= 2.0 ? difference : NAN;
}

static void fit_weights(struct measure_local *l, double *room) {
    size_t step = l->n / SCALE_FROM + 1;
    size_t n = 0;
    for (size_t i = 0; i < l->n; i += step) {
        room[n++] = l->rest[i];
    }
    l->scale = fmax(eh_mad(room, n), l->by_passage ? least_db : least_ms);
    for (size_t i = 0; i < l->n; i++) {
        double size = fabs(l->rest[i]);
        double most = bound * l->scale;
        l->weight[i] = size <= most ? 1.0 : most / size;
    }
}

/* Timing errors of a player follow each other, and how much that matters depends on the sticking:
 * alternating hands gain by it, four strokes of a hand in a row lose. So the products of neighbours
 * are taken in with falling weights (Newey & West 1987, Econometrica 55, 703-708), as shares of the
 * rests' own square; a short row knows little of these shares, so they count by n / (n + 32). */
static double correlation(const struct measure_local *l, double squares) {
    double own = 0.0;
    double sum = 0.0;
    for (size_t i = 0; i < l->n; i++) {
        own += l->lean[i] * l->lean[i];
    }
    for (size_t k = 1; k <= LAGS && k < l->n; k++) {
        double rests = 0.0;
        double leans = 0.0;
        for (size_t i = 0; i + k < l->n; i++) {
            rests += l->weight[i] * l->rest[i] * l->weight[i + k] * l->rest[i + k];
            leans += l->lean[i] * l->lean[i + k];
        }
        sum += (1.0 - (double)k / (LAGS + 1)) * rests * leans;
    }
    double n = (double)l->n;
    double share = squares > 0.0 ? sum / (squares * own) : 0.0;
    return fmax(1.0 + 2.0 * share * n / (n + 32.0), 0.3);
}

/* The variance of the difference: Huber's for the rests (1981, Robust Statistics), over the squares
 * of the leans. Levels do not follow each other. */
static double variance(const struct measure_local *l) {
    double squares = 0.0;
    double leans = 0.0;
    size_t inside = 0;
    for (size_t i = 0; i < l->n; i++) {
        double bounded = l->weight[i] * l->rest[i];
        squares += bounded * bounded;
        leans += l->lean[i] * l->lean[i];
        inside += l->weight[i] >= 1.0;
    }
    double n = (double)l->n;
    double share = (double)inside / n;
    double lost =
        l->by_passage ? 4.0 : 2.0; /* what the lines take; level rests are few and clean */
    double one = squares / fmax(n - lost, 1.0) / (share * share);
    return one / leans * (l->by_passage ? 1.0 : correlation(l, squares));
}

static size_t smaller_hand(const struct measure_local *l) {
    size_t count[2] = {0};
    for (size_t i = 0; i < l->n; i++) {
        count[l->hand[i] != 0]++;
    }
    return count[0] < count[1] ? count[0] : count[1];
}

void measure_local_fit(const struct measures *m, struct measure_local *l, double *room) {
    double difference = NAN;
    for (size_t i = 0; i < l->n; i++) {
        l->weight[i] = 1.0;
    }
    for (int round = 0; round < ROUNDS && l->n > 0; round++) {
        if (round > 0) {
            fit_weights(l, room);
        }
        fit_lines(m, l, room);
        difference = fit_hands(l, room);
    }
    l->left_less_right = (struct eh_estimate){NAN, NAN, NAN, smaller_hand(l)};
    if (isfinite(difference)) {
        double free = l->by_passage ? (double)l->n - 4.0 : 2.0 * (double)l->n;
        double t = eh_student_quantile(0.5 + MEASURE_CONFIDENCE / 2.0, fmax(free, 5.0));
        double half = t * sqrt(variance(l));
        l->left_less_right.value = difference;
        l->left_less_right.low = difference - half;
        l->left_less_right.high = difference + half;
    }
}
