/* A curve through readings that wander.
 *
 * A player's time errors are partly each stroke's own and partly slow: errors of neighbours go
 * together, over an unknown number of strokes. How much of them is slow, and how slow, is weighed
 * over a grid by the restricted likelihood (Harville 1977, J. Am. Stat. Assoc. 72, 320-338), each
 * computed by a Kalman filter in one walk. The answer is the mean over the grid; its interval
 * leaves out the same share at either side of all that the grid holds possible, which may be
 * lopsided. */
#include "evenhand/stats.h"

#include <math.h>

#include "stats_matrix.h"

enum {
    POINTS = 96, /* more readings are averaged down to this many */
    COLUMNS = 4, /* the reading, 1, x, x^2 */
    SHARES = 4,
    KEEPS = 4
};

/* How much of the errors is slow, how much of that is left at the next reading, and how often that
 * is so. Errors of neighbours have a correlation of 0.4 to 0.6 over a run in the Groove MIDI
 * Dataset 1.0.0 (Gillick et al. 2019): mostly half of them or more is slow. Thirty readings know
 * little of it, and would take half of the slow errors for a curve if every share were held as
 * likely. */
static const double slow_shares[SHARES] = {0.0, 0.25, 0.5, 0.8};
static const double share_weights[SHARES] = {0.02, 0.08, 0.35, 0.55};
static const double keeps[KEEPS] = {0.5, 0.8, 0.9, 0.95};
static const double keep_weights[KEEPS] = {0.04, 0.32, 0.32, 0.32};

struct walk {
    size_t n;
    double x[POINTS], y[POINTS];
};

/* Medians of as many neighbours as it takes. */
static void lay(struct walk *w, const double *x, const double *y, size_t n, double *scratch) {
    size_t group = (n + POINTS - 1) / POINTS;
    w->n = 0;
    for (size_t from = 0; from + group <= n; from += group) {
        for (size_t i = 0; i < group; i++) {
            scratch[i] = y[from + i];
        }
        w->x[w->n] = eh_mean(x + from, group);
        w->y[w->n++] = eh_median(scratch, group);
    }
}

/* Readings off a rough curve by more than 2.5 scales are drawn in. */
static bool draw_in(struct walk *w, double *scratch) {
    struct eh_curve rough = eh_curve_fit(w->x, w->y, w->n, 2, scratch);
    double most = 2.5 * rough.scale;
    for (size_t i = 0; i < w->n; i++) {
        double fit = rough.c[0] + w->x[i] * (rough.c[1] + w->x[i] * rough.c[2]);
        w->y[i] = fit + fmin(fmax(w->y[i] - fit, -most), most);
    }
    return isfinite(rough.c[0]);
}

/* Sums of products of the four columns, freed of their correlation. */
struct sums {
    double product[COLUMNS][COLUMNS];
    double log_variance;
};

static void add_products(struct sums *s, const double row[COLUMNS], double weight) {
    for (int c = 0; c < COLUMNS; c++) {
        for (int d = 0; d <= c; d++) {
            s->product[c][d] += weight * row[c] * row[d];
        }
    }
}

static void filter(const struct walk *w, double slow, double keep, struct sums *s) {
    double mean[COLUMNS] = {0};
    double variance = slow; /* of what is known about the slow part */
    double before = -1.0;
    double total = 1.0;
    double log_total = 0.0;
    *s = (struct sums){.log_variance = 0.0};
    for (size_t i = 0; i < w->n; i++) {
        double row[COLUMNS] = {w->y[i], 1.0, w->x[i], w->x[i] * w->x[i]};
        if (fabs(variance - before) > 1e-7) { /* it soon stands still */
            total = variance + 1.0 - slow;
            log_total = log(total);
        }
        double gain = variance / total;
        for (int c = 0; c < COLUMNS; c++) {
            row[c] -= mean[c];
            mean[c] = keep * (mean[c] + gain * row[c]);
        }
        add_products(s, row, 1.0 / total);
        s->log_variance += log_total;
        before = variance;
        variance = keep * keep * variance * (1.0 - gain) + slow * (1.0 - keep * keep);
    }
}

/* One point of the grid, nothing believed before: the curve, the errors of its coefficients, and
 * the log likelihood. */
struct fit {
    double c[3], cov[3][3];
    double log_likelihood; /* and how likely the point of the grid is beforehand */
};

/* What G . c is, its variance, and how likely that is; WEIGHT: the latter as a share of all. */
struct answer {
    double value, variance, log_likelihood, weight;
};

static bool solve(const struct walk *w, const struct sums *s, struct fit *out) {
    double normal[3][3];
    double inverse[3][3];
    double c[3] = {0};
    double log_det = 0.0;
    for (int i = 0; i < 3; i++) {
        for (int j = 0; j < 3; j++) {
            normal[i][j] = i >= j ? s->product[i + 1][j + 1] : s->product[j + 1][i + 1];
        }
    }
    if (!eh_invert3(normal, inverse, 3, &log_det)) {
        return false;
    }
    double rest = s->product[0][0];
    for (int i = 0; i < 3; i++) {
        for (int j = 0; j < 3; j++) {
            c[i] += inverse[i][j] * s->product[j + 1][0];
        }
        rest -= c[i] * s->product[i + 1][0];
    }
    double free = (double)w->n - 3.0;
    rest = fmax(rest, 1e-12 * (1.0 + s->product[0][0]));
    for (int i = 0; i < 3; i++) {
        out->c[i] = c[i];
        for (int j = 0; j < 3; j++) {
            out->cov[i][j] = inverse[i][j] * rest / free;
        }
    }
    out->log_likelihood = -0.5 * (free * log(rest) + log_det + s->log_variance);
    return true;
}

/* Without a belief: G . c as it is. */
static struct answer plain(const struct fit *f, const double g[3]) {
    struct answer a = {.log_likelihood = f->log_likelihood};
    for (int i = 0; i < 3; i++) {
        a.value += g[i] * f->c[i];
        for (int j = 0; j < 3; j++) {
            a.variance += g[i] * f->cov[i][j] * g[j];
        }
    }
    return a;
}

/* What a belief makes of a fit, which is by then normal in c[1] and c[2] (Lindley & Smith 1972,
 * J. R. Stat. Soc. B 34, 1-41); how likely the fit is under it decides how much it counts. */
static struct answer believed(const struct fit *f, const double g[3], const struct eh_belief *b) {
    const double own[2] = {b->first_sd * b->first_sd, b->second_sd * b->second_sd};
    double s[2][2] = {{f->cov[1][1] + own[0], f->cov[1][2]}, {f->cov[2][1], f->cov[2][2] + own[1]}};
    double det = s[0][0] * s[1][1] - s[0][1] * s[1][0];
    double inverse[2][2] = {{s[1][1] / det, -s[0][1] / det}, {-s[1][0] / det, s[0][0] / det}};
    double size = 0.0;
    struct answer a = {.value = 0.0};
    for (int i = 0; i < 2; i++) {
        for (int j = 0; j < 2; j++) {
            double gain = g[i + 1] * own[i] * inverse[i][j];
            size += f->c[i + 1] * inverse[i][j] * f->c[j + 1];
            a.value += gain * f->c[j + 1];
            a.variance += (i == j ? g[i + 1] * own[i] * g[i + 1] : 0.0) - gain * own[j] * g[j + 1];
        }
    }
    a.variance = fmax(a.variance, 0.0);
    a.log_likelihood = f->log_likelihood + log(b->weight) - 0.5 * (size + log(det));
    return a;
}

static size_t grid(const struct walk *w, struct fit *out) {
    size_t count = 0;
    for (int a = 0; a < SHARES; a++) {
        for (int b = 0; b < (slow_shares[a] > 0.0 ? KEEPS : 1); b++) {
            const double weight = share_weights[a] * (slow_shares[a] > 0.0 ? keep_weights[b] : 1.0);
            struct sums s;
            filter(w, slow_shares[a], keeps[b], &s);
            if (solve(w, &s, &out[count])) {
                out[count++].log_likelihood += log(weight);
            }
        }
    }
    return count;
}

/* Mean and variance of all answers together; fills their weights. */
static struct answer average(struct answer *a, size_t count) {
    double best = -INFINITY;
    for (size_t k = 0; k < count; k++) {
        best = fmax(best, a[k].log_likelihood);
    }
    double weights = 0.0;
    struct answer mean = {.weight = 1.0};
    for (size_t k = 0; k < count; k++) {
        a[k].weight = exp(a[k].log_likelihood - best);
        weights += a[k].weight;
        mean.value += a[k].weight * a[k].value;
    }
    mean.value /= weights;
    for (size_t k = 0; k < count; k++) {
        a[k].weight /= weights;
        mean.variance += a[k].weight * (a[k].variance + pow(a[k].value - mean.value, 2.0));
    }
    return mean;
}

/* Answers with less weight than this are not worth looking at. */
static const double slight = 1e-5;

/* How much of the answers, each WIDE times its own error, lies below X; OUT_DENSITY: how fast that
 * grows. */
static double below(const struct answer *a, size_t count, double wide, double x,
                    double *out_density) {
    double sum = 0.0;
    *out_density = 0.0;
    for (size_t k = 0; k < count; k++) {
        if (a[k].weight > slight && a[k].variance > 0.0) {
            const double sd = wide * sqrt(a[k].variance);
            const double z = (x - a[k].value) / sd;
            sum += a[k].weight * eh_normal_cdf(z);
            *out_density += a[k].weight * exp(-0.5 * z * z) / (2.50662827463100050242 * sd);
        } else {
            sum += a[k].value < x ? a[k].weight : 0.0;
        }
    }
    return sum;
}

/* Where the share P of all answers lies below: Newton's steps inside a bracket that halves when
 * they leave it. */
static double quantile(const struct answer *a, size_t count, const struct answer *mean, double wide,
                       double p) {
    enum { STEPS = 60 };
    const double sd = wide * sqrt(mean->variance);
    double low = mean->value - 20.0 * sd;
    double high = mean->value + 20.0 * sd;
    double x = mean->value + sd * eh_normal_quantile(p);
    for (int i = 0; i < STEPS && high - low > 1e-7 * sd; i++) {
        double density = 0.0;
        const double off = below(a, count, wide, x, &density) - p;
        *(off > 0.0 ? &high : &low) = x;
        const double next = x - off / density;
        const bool inside = isfinite(next) && next > low && next < high;
        if (inside && fabs(next - x) < 1e-6 * sd) {
            return next;
        }
        x = inside ? next : 0.5 * (low + high);
    }
    return x;
}

struct eh_estimate eh_wander_fit(const double *x, const double *y, size_t n, const double g[3],
                                 double confidence, double *scratch) {
    return eh_wander_believe(x, y, n, g, NULL, 0, confidence, scratch);
}

struct eh_estimate eh_wander_believe(const double *x, const double *y, size_t n, const double g[3],
                                     const struct eh_belief *beliefs, size_t belief_count,
                                     double confidence, double *scratch) {
    struct eh_estimate e = {NAN, NAN, NAN, n};
    struct walk w;
    struct fit fits[SHARES * KEEPS];
    struct answer answers[SHARES * KEEPS * EH_BELIEFS_MAX];
    if (n < 8) {
        return e;
    }
    lay(&w, x, y, n, scratch);
    if (!draw_in(&w, scratch)) {
        return e;
    }
    size_t fitted = grid(&w, fits);
    size_t count = 0;
    for (size_t k = 0; k < fitted; k++) {
        if (belief_count == 0) {
            answers[count++] = plain(&fits[k], g);
        }
        for (size_t b = 0; b < belief_count && b < EH_BELIEFS_MAX; b++) {
            answers[count++] = believed(&fits[k], g, &beliefs[b]);
        }
    }
    if (count == 0) {
        return e;
    }
    const struct answer mean = average(answers, count);
    /* The variance is known by so many readings; at the interval's ends that makes each answer as
     * much wider as Student's distribution is than the normal one. */
    const double tail = 0.5 + confidence / 2.0;
    const double wide =
        eh_student_quantile(tail, fmax((double)w.n - 3.0, 5.0)) / eh_normal_quantile(tail);
    e.value = mean.value;
    e.low = quantile(answers, count, &mean, wide, 1.0 - tail);
    e.high = quantile(answers, count, &mean, wide, tail);
    return e;
}
