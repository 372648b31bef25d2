/* Estimates that rest on all pairs of a sample: Hodges-Lehmann, shift, Qn.
 *
 * The pairs form rows of rising sums; how many lie at or below a number is counted in one walk, so
 * the K-th smallest is found by halving an interval without ever writing the pairs down. */
#include "evenhand/stats.h"

#include <float.h>
#include <math.h>

/* Row i holds row[i] + col[j] for j = first(i) .. cols - 1. Both are monotone, col rising. */
enum first { FROM_START, FROM_OWN, AFTER_OWN };

struct pairs {
    const double *row;
    const double *col;
    size_t rows, cols;
    enum first first;
};

enum { NEAR = 1024 };

static size_t first_of(const struct pairs *p, size_t i) {
    return p->first == FROM_START ? 0 : i + (p->first == AFTER_OWN);
}

static size_t count_up_to(const struct pairs *p, double limit) {
    size_t total = 0;
    size_t end = p->cols;
    for (size_t i = 0; i < p->rows; i++) {
        while (end > 0 && p->row[i] + p->col[end - 1] > limit) {
            end--;
        }
        while (end < p->cols && p->row[i] + p->col[end] <= limit) {
            end++;
        }
        size_t from = first_of(p, i);
        total += end > from ? end - from : 0;
    }
    return total;
}

/* The pairs above LOW and up to HIGH, at most ROOM of them. */
static size_t gather(const struct pairs *p, double low, double high, double *out, size_t room) {
    size_t count = 0;
    size_t start = p->cols;
    for (size_t i = 0; i < p->rows; i++) {
        while (start > 0 && p->row[i] + p->col[start - 1] > low) {
            start--;
        }
        while (start < p->cols && p->row[i] + p->col[start] <= low) {
            start++;
        }
        size_t from = first_of(p, i);
        for (size_t j = start > from ? start : from; j < p->cols; j++) {
            double sum = p->row[i] + p->col[j];
            if (sum > high || count == room) {
                break;
            }
            out[count++] = sum;
        }
    }
    return count;
}

static double smallest(const struct pairs *p) {
    double least = INFINITY;
    for (size_t i = 0; i < p->rows; i++) {
        size_t from = first_of(p, i);
        if (from < p->cols) {
            least = fmin(least, p->row[i] + p->col[from]);
        }
    }
    return least;
}

static double largest(const struct pairs *p) {
    double most = -INFINITY;
    for (size_t i = 0; i < p->rows; i++) {
        if (first_of(p, i) < p->cols) {
            most = fmax(most, p->row[i] + p->col[p->cols - 1]);
        }
    }
    return most;
}

/* The K-th smallest pair, K from 1. */
static double select_pair(const struct pairs *p, size_t k) {
    double near[NEAR];
    double low = smallest(p);
    size_t below = count_up_to(p, low);
    if (k <= below) {
        return low;
    }
    double high = largest(p);
    size_t upto = count_up_to(p, high);
    double tiny = 8.0 * DBL_EPSILON * fmax(fabs(low), fabs(high));
    while (upto - below > NEAR) {
        double middle = low + (high - low) / 2.0;
        if (high - low <= tiny || middle <= low || middle >= high) {
            return high;
        }
        size_t count = count_up_to(p, middle);
        if (count >= k) {
            high = middle;
            upto = count;
        } else {
            low = middle;
            below = count;
        }
    }
    size_t count = gather(p, low, high, near, NEAR);
    size_t rank = k - below - 1;
    return eh_select(near, count, rank < count ? rank : count - 1);
}

/* Sorts V and puts at most EH_STATS_EXACT of its quantiles into OUT. */
static size_t thin(double *v, size_t n, double sign, double *out) {
    eh_sort(v, n);
    size_t count = n < EH_STATS_EXACT ? n : EH_STATS_EXACT;
    for (size_t i = 0; i < count; i++) {
        double at = n <= EH_STATS_EXACT
                        ? v[i]
                        : eh_quantile(v, n, ((double)i + 0.5) / (double)EH_STATS_EXACT);
        out[sign < 0.0 ? count - 1 - i : i] = sign * at;
    }
    return count;
}

static size_t clamp_rank(double rank, size_t all) {
    if (!(rank >= 1.0)) {
        return 1;
    }
    return rank >= (double)all ? all : (size_t)rank;
}

/* ---- Hodges-Lehmann ---- */

enum { TABLE = 25 };

/* The largest c with P(W < c) <= tail for the signed-rank statistic of n values: the c-th smallest
 * Walsh average is then the lower limit. 0 when there is none. */
static size_t signed_rank_exact(size_t n, double tail) {
    double ways[TABLE * (TABLE + 1) / 2 + 1] = {1.0};
    size_t top = 0;
    for (size_t i = 1; i <= n; i++) {
        top += i;
        for (size_t w = top; w >= i; w--) {
            ways[w] += ways[w - i];
        }
    }
    double all = ldexp(1.0, (int)n);
    double sum = 0.0;
    size_t c = 0;
    while (c <= top && (sum + ways[c]) / all <= tail) {
        sum += ways[c++];
    }
    return c;
}

/* As a share of all Walsh averages, so that it also serves a thinned sample. */
static double signed_rank_normal(double n, double tail) {
    double all = n * (n + 1.0) / 2.0;
    double sd = sqrt(n * (n + 1.0) * (2.0 * n + 1.0) / 24.0);
    return (all / 2.0 + 0.5 + eh_normal_quantile(tail) * sd) / all;
}

struct eh_estimate eh_location(double *v, size_t n, double confidence) {
    double x[EH_STATS_EXACT];
    struct eh_estimate e = {NAN, NAN, NAN, n};
    if (n == 0) {
        return e;
    }
    size_t m = thin(v, n, 1.0, x);
    struct pairs p = {x, x, m, m, FROM_OWN};
    size_t all = m * (m + 1) / 2;
    double upper = select_pair(&p, all / 2 + 1);
    double lower = all % 2 == 1 ? upper : select_pair(&p, all / 2);
    e.value = (lower + upper) / 4.0;
    double tail = (1.0 - confidence) / 2.0;
    size_t rank = n <= TABLE
                      ? signed_rank_exact(n, tail)
                      : clamp_rank(floor(signed_rank_normal((double)n, tail) * (double)all), all);
    if (n < 3) {
        return e;
    }
    rank = rank == 0 ? 1 : rank; /* too few for the confidence: the widest there is */
    e.low = select_pair(&p, rank) / 2.0;
    e.high = select_pair(&p, all + 1 - rank) / 2.0;
    return e;
}

/* ---- Shift ---- */

struct eh_estimate eh_shift(double *a, size_t a_count, double *b, size_t b_count,
                            double confidence) {
    double x[EH_STATS_EXACT];
    double y[EH_STATS_EXACT];
    struct eh_estimate e = {NAN, NAN, NAN, a_count < b_count ? a_count : b_count};
    if (a_count == 0 || b_count == 0) {
        return e;
    }
    size_t rows = thin(a, a_count, 1.0, x);
    size_t cols = thin(b, b_count, -1.0, y);
    struct pairs p = {x, y, rows, cols, FROM_START};
    size_t all = rows * cols;
    double upper = select_pair(&p, all / 2 + 1);
    double lower = all % 2 == 1 ? upper : select_pair(&p, all / 2);
    e.value = (lower + upper) / 2.0;
    if (a_count < 2 || b_count < 2) {
        return e;
    }
    double na = (double)a_count;
    double nb = (double)b_count;
    double sd = sqrt(na * nb * (na + nb + 1.0) / 12.0);
    double z = eh_normal_quantile((1.0 - confidence) / 2.0);
    double share = (na * nb / 2.0 + 0.5 + z * sd) / (na * nb);
    size_t rank = clamp_rank(floor(share * (double)all), all);
    e.low = select_pair(&p, rank);
    e.high = select_pair(&p, all + 1 - rank);
    return e;
}

/* ---- Spread ---- */

/* Factors of Croux & Rousseeuw 1992, "Time-efficient algorithms for two highly robust estimators
 * of scale", Computational Statistics 1, 411-428. */
static double qn_factor(size_t n) {
    static const double small[] = {0.399, 0.994, 0.512, 0.844, 0.611, 0.857, 0.669, 0.872};
    if (n <= 9) {
        return small[n - 2];
    }
    return n % 2 == 1 ? (double)n / ((double)n + 1.4) : (double)n / ((double)n + 3.8);
}

struct eh_estimate eh_spread(double *v, size_t n, double confidence) {
    double x[EH_STATS_EXACT];
    double minus[EH_STATS_EXACT];
    struct eh_estimate e = {NAN, NAN, NAN, n};
    if (n < 2) {
        return e;
    }
    size_t m = thin(v, n, 1.0, x);
    for (size_t i = 0; i < m; i++) {
        minus[i] = -x[i];
    }
    struct pairs p = {minus, x, m, m, AFTER_OWN};
    size_t h = m / 2 + 1;
    e.value = 2.21914 * qn_factor(n) * select_pair(&p, h * (h - 1) / 2);
    if (n >= 4) {
        double z = eh_normal_quantile(0.5 + confidence / 2.0);
        double wide = exp(z * 0.95 / sqrt((double)n - 1.5));
        e.low = e.value / wide;
        e.high = e.value * wide;
    }
    return e;
}
