/* A smooth tempo through strokes: penalised least squares on a node a quarter, the penalty on
 * second differences (Whittaker 1923, Proc. Edinburgh Math. Soc. 41, 63-75; Eilers 2003, Anal.
 * Chem. 75, 3631-3636), made robust by Huber's weights. Between halts each stretch has a curve of
 * its own. */
#include <math.h>
#include <stdlib.h>

#include "evenhand/stats.h"
#include "free.h"

enum { ROUNDS = 6, BAND = 3 /* of the matrix: the diagonal and two beside it */ };

/* A wave of the player's tempo that is two bars long is followed to a half; one of eight bars to
 * 99 %, one of a bar to a 13th, one of a beat not at all. So the tempo is taken out
 * of the evenness, and nothing that repeats with the beat or the bar. */
static const double half_wave_bars = 2.0;
static const double least_wave = 6.0, most_wave = 12.0; /* quarters */
/* A stroke counts for a quarter of a beat's weight at most: few strokes, longer waves. */
static const double most_weight = 0.25;
/* Where nothing says otherwise the tempo is the stretch's own. */
static const double ridge = 1e-4;
static const double huber = 1.345;
static const double least_scale_ms = 3.0;

struct curve {
    const struct free_pair *pairs;
    size_t count;
    double first; /* the first node, quarters */
    size_t nodes;
    double origin_ms, quarter_ms; /* the line that the nodes stand off from */
    double stiffness;
    double *a;      /* BAND values a node */
    double *node;   /* right side, then the solution */
    double *weight; /* one a pair */
    double *rest;   /* likewise */
    double *sorted; /* likewise */
};

static size_t node_of(const struct curve *c, double at, double *out_part) {
    const double x = at - c->first;
    double k = floor(x);
    k = fmin(fmax(k, 0.0), (double)c->nodes - 2.0);
    *out_part = x - k;
    return (size_t)k;
}

static double line_at(const struct curve *c, double at) {
    return c->origin_ms + (at - c->pairs[0].at) * c->quarter_ms;
}

static double curve_at(const struct curve *c, double at) {
    double part = 0.0;
    const size_t k = node_of(c, at, &part);
    return line_at(c, at) + (1.0 - part) * c->node[k] + part * c->node[k + 1];
}

/* The slope that half of the pairs lie to either side of: each pair with the one half the stretch
 * on. */
static double typical_quarter(struct curve *c) {
    const size_t half = c->count > 3 ? c->count / 2 : 1;
    size_t n = 0;
    for (size_t i = 0; i + half < c->count; i++) {
        const struct free_pair *a = &c->pairs[i];
        const struct free_pair *b = &c->pairs[i + half];
        c->sorted[n++] = (b->ms - a->ms) / (b->at - a->at);
    }
    return eh_median(c->sorted, n);
}

static void weigh_by_density(struct curve *c) {
    size_t from = 0;
    size_t to = 0;
    for (size_t i = 0; i < c->count; i++) {
        while (to < c->count && c->pairs[to].at < c->pairs[i].at + 0.5) {
            to++;
        }
        while (c->pairs[from].at < c->pairs[i].at - 0.5) {
            from++;
        }
        c->weight[i] = fmin(1.0 / (double)(to - from), most_weight);
    }
}

/* ---- The banded system: a[k][0] diagonal, a[k][j] its coupling to node k + j ---- */

static void add_penalty(struct curve *c) {
    static const double row[3] = {1.0, -2.0, 1.0};
    for (size_t k = 0; k + 2 < c->nodes; k++) {
        for (size_t i = 0; i < 3; i++) {
            for (size_t j = i; j < 3; j++) {
                c->a[(k + i) * BAND + (j - i)] += c->stiffness * row[i] * row[j];
            }
        }
    }
    for (size_t k = 0; k + 1 < c->nodes; k++) {
        c->a[k * BAND] += ridge;
        c->a[(k + 1) * BAND] += ridge;
        c->a[k * BAND + 1] -= ridge;
    }
}

static double huber_weight(double rest, double scale) {
    const double size = fabs(rest) / scale;
    return size <= huber ? 1.0 : huber / size;
}

static void add_pairs(struct curve *c, double scale) {
    for (size_t i = 0; i < c->count; i++) {
        double part = 0.0;
        const size_t k = node_of(c, c->pairs[i].at, &part);
        const double w = c->weight[i] * huber_weight(c->rest[i], scale);
        const double y = c->pairs[i].ms - line_at(c, c->pairs[i].at);
        c->a[k * BAND] += w * (1.0 - part) * (1.0 - part);
        c->a[k * BAND + 1] += w * (1.0 - part) * part;
        c->a[(k + 1) * BAND] += w * part * part;
        c->node[k] += w * (1.0 - part) * y;
        c->node[k + 1] += w * part * y;
    }
}

/* L D L' of the band, in place. */
static void solve(struct curve *c) {
    double *a = c->a;
    double *x = c->node;
    const size_t n = c->nodes;
    for (size_t k = 0; k < n; k++) {
        for (size_t j = 1; j < BAND && k + j < n; j++) {
            const double l = a[k * BAND + j] / a[k * BAND];
            for (size_t i = j; i < BAND && k + i < n; i++) {
                a[(k + j) * BAND + (i - j)] -= l * a[k * BAND + i];
            }
            x[k + j] -= l * x[k];
        }
    }
    for (size_t k = n; k-- > 0;) {
        for (size_t j = 1; j < BAND && k + j < n; j++) {
            x[k] -= a[k * BAND + j] * x[k + j];
        }
        x[k] /= a[k * BAND];
    }
}

static void fit_round(struct curve *c, double scale) {
    for (size_t i = 0; i < c->nodes * BAND; i++) {
        c->a[i] = 0.0;
    }
    for (size_t i = 0; i < c->nodes; i++) {
        c->node[i] = 0.0;
    }
    add_penalty(c);
    add_pairs(c, scale);
    solve(c);
    for (size_t i = 0; i < c->count; i++) {
        c->rest[i] = c->pairs[i].ms - curve_at(c, c->pairs[i].at);
    }
}

static double scale_of(const struct curve *c) {
    for (size_t i = 0; i < c->count; i++) {
        c->sorted[i] = c->rest[i];
    }
    return fmax(eh_mad(c->sorted, c->count), least_scale_ms);
}

static void fit(struct curve *c, double bar_quarters) {
    const double wave = fmin(fmax(half_wave_bars * bar_quarters, least_wave), most_wave);
    const double turn = 2.0 * sin(3.14159265358979323846 / wave);
    c->stiffness = 1.0 / (turn * turn * turn * turn);
    weigh_by_density(c);
    double scale = INFINITY;
    for (int round = 0; round < ROUNDS; round++) {
        fit_round(c, scale);
        scale = scale_of(c);
    }
}

/* ---- The map ---- */

struct laying {
    struct eh_tempo_map *map;
    int64_t origin_ns;
    eh_ticks last_at;
    int64_t last_ns;
    bool begun;
};

/* The tempo of the piece that ends here is known only now. */
static enum eh_status lay_point(struct laying *lay, double at, double ms) {
    const eh_ticks tick = (eh_ticks)llround(at * (double)EH_TICKS_PER_QUARTER);
    const int64_t at_ns = lay->origin_ns + llround(ms * 1e6);
    enum eh_status status = EH_OK;
    if (!lay->begun) {
        lay->begun = true;
    } else if (tick <= lay->last_at) {
        return EH_OK;
    } else if (at_ns <= lay->last_ns) {
        return EH_NO_FIT;
    } else {
        const double beats = (double)(tick - lay->last_at) / (double)EH_TICKS_PER_QUARTER;
        const int64_t quarter = llround((double)(at_ns - lay->last_ns) / beats);
        status = lay->map->count == 0
                     ? eh_tempo_map_init(lay->map, lay->last_at, lay->last_ns, quarter)
                     : eh_tempo_map_append(lay->map, lay->last_at, lay->last_ns, quarter);
    }
    lay->last_at = tick;
    lay->last_ns = at_ns;
    return status;
}

/* From the first stroke to the last; the first stretch from the beat before it on. */
static enum eh_status lay_curve(struct laying *lay, const struct curve *c) {
    const double begin = c->pairs[0].at;
    const double end = c->pairs[c->count - 1].at;
    const double from = lay->begun ? begin : c->first;
    enum eh_status status = lay_point(lay, from, curve_at(c, from));
    for (size_t k = 0; k < c->nodes && status == EH_OK; k++) {
        const double at = c->first + (double)k;
        if (at > from && at < end) {
            status = lay_point(lay, at, curve_at(c, at));
        }
    }
    return status == EH_OK ? lay_point(lay, end, curve_at(c, end)) : status;
}

static enum eh_status fit_stretch(struct laying *lay, const struct free_pair *pairs, size_t count,
                                  double bar_quarters, double quarter_ms) {
    struct curve c = {.pairs = pairs, .count = count, .first = floor(pairs[0].at)};
    c.nodes = (size_t)(ceil(pairs[count - 1].at) - c.first) + 2;
    double *room = calloc(c.nodes * (BAND + 1) + 3 * count, sizeof *room);
    if (room == NULL) {
        return EH_NO_MEMORY;
    }
    c.a = room;
    c.node = c.a + c.nodes * BAND;
    c.weight = c.node + c.nodes;
    c.rest = c.weight + count;
    c.sorted = c.rest + count;
    c.origin_ms = pairs[0].ms;
    c.quarter_ms = count > 2 ? typical_quarter(&c) : quarter_ms;
    fit(&c, bar_quarters);
    const enum eh_status status = lay_curve(lay, &c);
    free(room);
    return status;
}

enum eh_status free_curve_fit(struct eh_tempo_map *out, const struct free_pairs *pairs,
                              int64_t origin_ns, double bar_quarters) {
    *out = (struct eh_tempo_map){0};
    if (pairs->count < 2) {
        return EH_NO_FIT;
    }
    struct laying lay = {.map = out, .origin_ns = origin_ns};
    const struct free_pair *p = pairs->pairs;
    double quarter = (p[pairs->count - 1].ms - p[0].ms) / (p[pairs->count - 1].at - p[0].at);
    enum eh_status status = EH_OK;
    for (size_t from = 0; from < pairs->count && status == EH_OK;) {
        size_t to = from + 1;
        while (to < pairs->count && !p[to].halted) {
            to++;
        }
        status = fit_stretch(&lay, p + from, to - from, bar_quarters, quarter);
        from = to;
    }
    if (status == EH_OK && out->count == 0) {
        status = EH_NO_FIT;
    }
    if (status != EH_OK) {
        eh_tempo_map_deinit(out);
    }
    return status;
}
