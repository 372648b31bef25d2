/* Estimates that rest on all pairs of a sample: Hodges-Lehmann, shift, Qn.
 *
 * The pairs form rows of rising sums; how many lie at or below a number is counted in one walk, so
 * the K-th smallest is found by halving an interval without ever writing the pairs down. */
#include "evenhand/stats.h"

#include <float.h>
#include <math.h>
#include <stdint.h>

#include "stats_sample.h"

/* Row i holds row[i] + col[j] for j = first(i) .. cols - 1. Both are monotone, col rising. */
enum first { FROM_START, FROM_OWN, AFTER_OWN };

struct pairs {
    const double *row;
    const double *col;
    size_t rows, cols;
    enum first first;
};

enum { NEAR = 256 };

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

/* No pair lies below it, and it is one when any lies at it. */
static double least(const struct pairs *p) {
    return p->first == AFTER_OWN ? 0.0 : p->row[0] + p->col[0];
}

static double most(const struct pairs *p) {
    return p->row[p->first == AFTER_OWN ? 0 : p->rows - 1] + p->col[p->cols - 1];
}

static size_t all_pairs(const struct pairs *p) {
    size_t triangle = p->rows * (p->rows - 1) / 2;
    return p->first == FROM_START ? p->rows * p->cols
           : p->first == FROM_OWN ? triangle + p->rows
                                  : triangle;
}

/* Where to look next between two numbers, OF of the pairs between them lying below what is sought:
 * in proportion, and every other time half-way, so that no shape of the sample can stall it. */
static double between(double low, double high, double of, int turn) {
    double share = turn % 3 == 2 ? 0.5 : fmin(fmax(of, 0.02), 0.98);
    return low + (high - low) * share;
}

/* The pairs between two numbers that hold the sought one: few, or all equal. */
struct bracket {
    double low, high;
    size_t below, upto; /* how many pairs lie at or below them */
};

static void narrow(const struct pairs *p, size_t k, struct bracket *b) {
    double tiny = 8.0 * DBL_EPSILON * fmax(fabs(b->low), fabs(b->high));
    for (int turn = 0; b->upto - b->below > NEAR && b->high - b->low > tiny; turn++) {
        double of = ((double)k - (double)b->below) / (double)(b->upto - b->below);
        double at = between(b->low, b->high, of, turn);
        if (at <= b->low || at >= b->high) {
            return;
        }
        size_t count = count_up_to(p, at);
        if (count >= k) {
            b->high = at;
            b->upto = count;
        } else {
            b->low = at;
            b->below = count;
        }
    }
}

/* The largest pair up to HIGH among the RANK ones of NEAR that come before it; NAN without any. */
static double largest_of(const double *near, size_t rank) {
    double largest = rank > 0 ? near[0] : NAN;
    for (size_t i = 1; i < rank; i++) {
        largest = near[i] > largest ? near[i] : largest;
    }
    return largest;
}

/* The K-th smallest pair, K from 1; OUT_BEFORE: the one before it where that is at hand, else NAN.
 */
static double select_pair(const struct pairs *p, size_t k, double *out_before) {
    double near[NEAR];
    struct bracket b = {least(p), most(p), 0, all_pairs(p)};
    b.below = count_up_to(p, b.low);
    *out_before = b.low;
    if (k <= b.below) {
        return b.low;
    }
    narrow(p, k, &b);
    *out_before = NAN;
    if (b.upto - b.below > NEAR) {
        return b.high; /* all equal but for the last bits */
    }
    size_t count = gather(p, b.low, b.high, near, NEAR);
    size_t rank = k - b.below - 1;
    double found = eh_select(near, count, rank);
    *out_before = largest_of(near, rank);
    return found;
}

static double pair_at(const struct pairs *p, size_t k) {
    double before = 0.0;
    return select_pair(p, k, &before);
}

static double middle_pair(const struct pairs *p, size_t all) {
    double before = NAN;
    double upper = select_pair(p, all / 2 + 1, &before);
    if (all % 2 == 1) {
        return upper;
    }
    double lower = isnan(before) ? pair_at(p, all / 2) : before;
    return lower + (upper - lower) / 2.0;
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

size_t eh_sample(double *v, size_t n) {
    if (n <= EH_STATS_LARGEST) {
        return n;
    }
    for (size_t i = 0; i < EH_STATS_LARGEST; i++) {
        size_t from = i * n / EH_STATS_LARGEST;
        size_t to = (i + 1) * n / EH_STATS_LARGEST;
        uint32_t hash = (uint32_t)i * 2654435769u; /* Knuth, TAOCP 6.4 */
        v[i] = v[from + (hash >> 16) % (to - from)];
    }
    return EH_STATS_LARGEST;
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
    n = eh_sample(v, n);
    size_t m = thin(v, n, 1.0, x);
    if (m == 0) {
        return e;
    }
    struct pairs p = {x, x, m, m, FROM_OWN};
    size_t all = all_pairs(&p);
    e.value = middle_pair(&p, all) / 2.0;
    double tail = (1.0 - confidence) / 2.0;
    size_t rank = n <= TABLE
                      ? signed_rank_exact(n, tail)
                      : clamp_rank(floor(signed_rank_normal((double)n, tail) * (double)all), all);
    if (n < 3) {
        return e;
    }
    rank = rank == 0 ? 1 : rank; /* too few for the confidence: the widest there is */
    e.low = pair_at(&p, rank) / 2.0;
    e.high = pair_at(&p, all + 1 - rank) / 2.0;
    return e;
}

/* ---- Shift ---- */

struct eh_estimate eh_shift(double *a, size_t a_count, double *b, size_t b_count,
                            double confidence) {
    double x[EH_STATS_EXACT];
    double y[EH_STATS_EXACT];
    struct eh_estimate e = {NAN, NAN, NAN, a_count < b_count ? a_count : b_count};
    a_count = eh_sample(a, a_count);
    b_count = eh_sample(b, b_count);
    size_t rows = thin(a, a_count, 1.0, x);
    size_t cols = thin(b, b_count, -1.0, y);
    if (rows == 0 || cols == 0) {
        return e;
    }
    struct pairs p = {x, y, rows, cols, FROM_START};
    size_t all = all_pairs(&p);
    e.value = middle_pair(&p, all);
    if (a_count < 2 || b_count < 2) {
        return e;
    }
    double na = (double)a_count;
    double nb = (double)b_count;
    double sd = sqrt(na * nb * (na + nb + 1.0) / 12.0);
    double z = eh_normal_quantile((1.0 - confidence) / 2.0);
    double share = (na * nb / 2.0 + 0.5 + z * sd) / (na * nb);
    size_t rank = clamp_rank(floor(share * (double)all), all);
    e.low = pair_at(&p, rank);
    e.high = pair_at(&p, all + 1 - rank);
    return e;
}

/* ---- Spread ---- */

/* Factors of Croux & Rousseeuw 1992, "Time-efficient algorithms for two highly robust estimators
 * of scale", Computational Statistics 1, 411-428. */
static double qn_factor(size_t n) {
    static const double small[] = {0.399, 0.994, 0.512, 0.844, 0.611, 0.857, 0.669, 0.872};
    if (n >= 2 && n <= 9) {
        return small[n - 2];
    }
    return n % 2 == 1 ? (double)n / ((double)n + 1.4) : (double)n / ((double)n + 3.8);
}

struct eh_estimate eh_spread(double *v, size_t n, double confidence) {
    double x[EH_STATS_EXACT];
    double minus[EH_STATS_EXACT];
    struct eh_estimate e = {NAN, NAN, NAN, n};
    n = eh_sample(v, n);
    size_t m = thin(v, n, 1.0, x);
    if (m < 2) {
        return e;
    }
    for (size_t i = 0; i < m; i++) {
        minus[i] = -x[i];
    }
    struct pairs p = {minus, x, m, m, AFTER_OWN};
    size_t h = m / 2 + 1;
    e.value = 2.21914 * qn_factor(n) * pair_at(&p, h * (h - 1) / 2);
    if (n >= 4) {
        double z = eh_normal_quantile(0.5 + confidence / 2.0);
        double wide = exp(z * 0.95 / sqrt((double)n - 1.5));
        e.low = e.value / wide;
        e.high = e.value * wide;
    }
    return e;
}
