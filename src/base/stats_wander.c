/* A curve through readings that wander.
 *
 * A player's time errors are partly each stroke's own and partly slow: errors of neighbours go
 * together, over an unknown number of strokes. How much of them is slow, and how slow, is weighed
 * over a grid by the restricted likelihood (Harville 1977, J. Am. Stat. Assoc. 72, 320-338), each
 * computed by a Kalman filter in one walk; the answer is the mean over the grid, and its error
 * holds that of each and what they differ by. */
#include "evenhand/stats.h"

#include <math.h>

#include "stats_matrix.h"

enum {
    POINTS = 256, /* more readings are averaged down to this many */
    COLUMNS = 4,  /* the reading, 1, x, x^2 */
    SHARES = 5,
    KEEPS = 4
};

static const double slow_shares[SHARES] = {0.0, 0.1, 0.25, 0.45, 0.7};
static const double keeps[KEEPS] = {0.5, 0.75, 0.9,
                                    0.96}; /* of the slow part, from one to the next */

struct walk {
    size_t n;
    double x[POINTS], y[POINTS];
};

/* Means of as many neighbours as it takes, readings off by more than 2.5 scales drawn in. */
static void lay(struct walk *w, const double *x, const double *y, size_t n,
                const struct eh_curve *rough) {
    size_t group = (n + POINTS - 1) / POINTS;
    double most = 2.5 * rough->scale;
    w->n = 0;
    for (size_t from = 0; from + group <= n; from += group) {
        double sx = 0.0;
        double sy = 0.0;
        for (size_t i = from; i < from + group; i++) {
            double fit = rough->c[0] + x[i] * (rough->c[1] + x[i] * rough->c[2]);
            sx += x[i];
            sy += fit + fmin(fmax(y[i] - fit, -most), most);
        }
        w->x[w->n] = sx / (double)group;
        w->y[w->n++] = sy / (double)group;
    }
}

/* Sums of products of the four columns, freed of their correlation. */
struct sums {
    double product[COLUMNS][COLUMNS];
    double log_variance;
};

static void filter(const struct walk *w, double slow, double keep, struct sums *s) {
    double mean[COLUMNS] = {0};
    double variance = slow;
    *s = (struct sums){.log_variance = 0.0};
    for (size_t i = 0; i < w->n; i++) {
        double row[COLUMNS] = {w->y[i], 1.0, w->x[i], w->x[i] * w->x[i]};
        double total = variance + 1.0 - slow;
        double gain = variance / total;
        for (int c = 0; c < COLUMNS; c++) {
            row[c] -= mean[c];
            mean[c] = keep * (mean[c] + gain * row[c]);
            for (int d = 0; d <= c; d++) {
                s->product[c][d] += row[c] * row[d] / total;
            }
        }
        s->log_variance += log(total);
        variance = keep * keep * variance * (1.0 - gain) + slow * (1.0 - keep * keep);
    }
}

/* One point of the grid: what G . c is, its variance, and the log likelihood. */
struct answer {
    double value, variance, log_likelihood;
};

static bool solve(const struct walk *w, const struct sums *s, const double g[3],
                  struct answer *out) {
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
    double spread = 0.0;
    *out = (struct answer){0};
    for (int i = 0; i < 3; i++) {
        for (int j = 0; j < 3; j++) {
            c[i] += inverse[i][j] * s->product[j + 1][0];
            spread += g[i] * inverse[i][j] * g[j];
        }
        rest -= c[i] * s->product[i + 1][0];
        out->value += g[i] * c[i];
    }
    double free = (double)w->n - 3.0;
    rest = fmax(rest, 1e-12 * (1.0 + s->product[0][0]));
    out->variance = spread * rest / free;
    out->log_likelihood = -0.5 * (free * log(rest) + log_det + s->log_variance);
    return true;
}

static size_t grid(const struct walk *w, const double g[3], struct answer *out) {
    size_t count = 0;
    for (int a = 0; a < SHARES; a++) {
        for (int b = 0; b < (slow_shares[a] > 0.0 ? KEEPS : 1); b++) {
            struct sums s;
            filter(w, slow_shares[a], keeps[b], &s);
            count += solve(w, &s, g, &out[count]);
        }
    }
    return count;
}

static struct answer average(const struct answer *a, size_t count) {
    double best = -INFINITY;
    for (size_t k = 0; k < count; k++) {
        best = fmax(best, a[k].log_likelihood);
    }
    double weights = 0.0;
    struct answer mean = {0};
    for (size_t k = 0; k < count; k++) {
        double weight = exp(a[k].log_likelihood - best);
        weights += weight;
        mean.value += weight * a[k].value;
    }
    mean.value /= weights;
    for (size_t k = 0; k < count; k++) {
        double weight = exp(a[k].log_likelihood - best) / weights;
        mean.variance += weight * (a[k].variance + pow(a[k].value - mean.value, 2.0));
    }
    return mean;
}

struct eh_estimate eh_wander_fit(const double *x, const double *y, size_t n, const double g[3],
                                 double confidence, double *scratch) {
    struct eh_estimate e = {NAN, NAN, NAN, n};
    struct eh_curve rough = eh_curve_fit(x, y, n, 2, scratch);
    if (n < 8 || !isfinite(rough.c[0])) {
        return e;
    }
    struct walk w;
    struct answer answers[SHARES * KEEPS];
    lay(&w, x, y, n, &rough);
    size_t count = grid(&w, g, answers);
    if (count == 0) {
        return e;
    }
    struct answer mean = average(answers, count);
    double t = eh_student_quantile(0.5 + confidence / 2.0, fmax((double)w.n - 3.0, 5.0));
    e.value = mean.value;
    e.low = mean.value - t * sqrt(mean.variance);
    e.high = mean.value + t * sqrt(mean.variance);
    return e;
}
