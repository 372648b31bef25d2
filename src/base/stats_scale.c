/* Scale by Huber's proposal 2: centre and scale found together, readings beyond a bound counting as
 * if they stood there (Huber 1964, Ann. Math. Stat. 35, 73-101; Huber 1981, Robust Statistics,
 * chapter 6.4). */
#include "evenhand/stats.h"

#include <math.h>
#include <stdbool.h>

#include "stats_sample.h"

/* What the bound makes of a standard normal variable x: of min(x^2, bound^2) the mean and the
 * variance, and the mean of x^2 where it is inside. */
struct normal {
    double mean, variance, inside;
};

static struct normal normal_of(double bound) {
    const double density = exp(-0.5 * bound * bound) / 2.50662827463100050242; /* sqrt(2 pi) */
    const double outside = 2.0 * eh_normal_cdf(-bound);
    struct normal z;
    z.inside = 1.0 - outside - 2.0 * bound * density;
    z.mean = z.inside + bound * bound * outside;
    const double fourth = 3.0 * z.inside - 2.0 * bound * bound * bound * density;
    z.variance = fourth + pow(bound, 4.0) * outside - z.mean * z.mean;
    return z;
}

struct state {
    double centre, scale;
};

/* Of readings, in scales from the centre: the sum of what the bound leaves of them, of its squares,
 * and of the squares of those inside. */
struct sums {
    double first, squares, inside;
    size_t count; /* inside */
};

static struct sums sum_up(const double *v, size_t n, double bound, const struct state *at) {
    struct sums s = {0.0, 0.0, 0.0, 0};
    for (size_t i = 0; i < n; i++) {
        const double rest = (v[i] - at->centre) / at->scale;
        const double kept = fmin(fmax(rest, -bound), bound);
        s.first += kept;
        s.squares += kept * kept;
        s.inside += fabs(rest) <= bound ? rest * rest : 0.0;
        s.count += fabs(rest) <= bound;
    }
    return s;
}

enum { ROUNDS = 60, NEWTON = 20 };

/* Newton's steps, bounded; should they ever go round in circles, the plain ones that cannot. False
 * when the scale falls towards nothing: too many readings are alike. */
static bool solve(const double *v, size_t n, double bound, double mean, struct state *at) {
    const double least = 1e-9 * at->scale;
    for (int round = 0; round < ROUNDS; round++) {
        struct sums s = sum_up(v, n, bound, at);
        const double move = s.first / (double)(s.count > 0 ? s.count : n);
        at->centre += at->scale * move;
        s = sum_up(v, n, bound, at);
        const double off = log(s.squares / ((double)(n - 1) * mean));
        const double slope = round < NEWTON ? fmax(s.inside / s.squares, 0.3) : 1.0;
        const double grow = fmin(fmax(0.5 * off / slope, -1.0), 1.0);
        if (!(at->scale > least) || !isfinite(grow)) {
            return false;
        }
        at->scale *= exp(grow);
        if (fabs(move) < 1e-10 && fabs(grow) < 1e-10) {
            break;
        }
    }
    return true;
}

/* Normal data would leave more freedom: the longer tails of human playing take a fifth of it. */
static const double tails = 0.8;

static void add_interval(struct eh_estimate *e, size_t n, const struct normal *z,
                         double confidence) {
    /* The variance of log(scale) is variance / (2 inside)^2 / n (Huber 1981); that of an SD of F
     * degrees of freedom is 1 / (2 F). */
    const double free = tails * 2.0 * z->inside * z->inside / z->variance * (double)(n - 1);
    const double half = confidence / 2.0;
    e->low = e->value * sqrt(free / eh_chi_square_quantile(0.5 + half, free));
    e->high = e->value * sqrt(free / eh_chi_square_quantile(0.5 - half, free));
}

struct eh_estimate eh_scale(double *v, size_t n, double bound, double confidence) {
    struct eh_estimate e = {NAN, NAN, NAN, n};
    n = eh_sample(v, n);
    eh_sort(v, n);
    if (n < 2) {
        return e;
    }
    const struct normal z = normal_of(bound);
    struct state at = {eh_quantile(v, n, 0.5), 0.0};
    at.scale = (eh_quantile(v, n, 0.75) - eh_quantile(v, n, 0.25)) / 1.3489795003921635;
    at.scale = at.scale > 0.0 ? at.scale : eh_sd(v, n);
    const bool some = at.scale > 0.0 && solve(v, n, bound, z.mean, &at);
    e.value = some ? at.scale : 0.0;
    if (n >= 4) {
        add_interval(&e, n, &z, confidence);
    }
    return e;
}
