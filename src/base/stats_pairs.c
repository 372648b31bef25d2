/* Estimates that rest on all pairs of a sample: Hodges-Lehmann, shift, Qn.
 *
 * The pairs form rows of rising sums; how many lie at or below a number is counted in one walk, so
 * the K-th smallest is found by narrowing an interval without ever writing the pairs down. Where
 * the walk turns is as good as random, so it does not branch on it. */
#include "evenhand/stats.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "stats_order.h"
#include "stats_sample.h"

/* Row i holds row[i] + col[j] for j = first(i) .. cols - 1: all of them, from the value itself on,
 * or after it. */
enum first { FROM_START, FROM_OWN, AFTER_OWN };

/* ROW falls and COL rises, so that where a sum passes a number moves on from row to row. COL is
 * followed by AHEAD values that no number is passed by. */
struct pairs {
    double row[EH_STATS_EXACT];
    double col[EH_STATS_EXACT + 4];
    size_t rows, cols;
    enum first first;
};

enum { NEAR = 256, AHEAD = 4, WALKS = 4 };

static size_t first_of(const struct pairs *p, size_t i) {
    return p->first == FROM_START ? 0 : p->first == AFTER_OWN ? i + 1 : p->rows - 1 - i;
}

/* How many sums of a row lie at or below LIMIT, END of them being known to. */
static inline size_t pass(const struct pairs *p, size_t i, double limit, size_t end) {
    const double row = p->row[i];
    size_t more = AHEAD;
    while (more == AHEAD) {
        const double *col = &p->col[end];
        more = (size_t)(row + col[0] <= limit) + (size_t)(row + col[1] <= limit) +
               (size_t)(row + col[2] <= limit) + (size_t)(row + col[3] <= limit);
        end += more;
    }
    return end;
}

/* The same, nothing being known. */
static size_t pass_anew(const struct pairs *p, size_t i, double limit) {
    size_t low = 0;
    size_t size = p->cols;
    while (size > 0) {
        const size_t half = (size + 1) / 2;
        low += p->row[i] + p->col[low + half - 1] <= limit ? half : 0;
        size -= half;
    }
    return low;
}

static inline size_t above(size_t end, size_t from) {
    return end > from ? end - from : 0;
}

/* Four walks side by side, since each step of one waits for the step before. */
static size_t count_up_to(const struct pairs *p, double limit) {
    const size_t part = p->rows / WALKS;
    size_t end[WALKS];
    size_t total = 0;
    for (size_t w = 0; w < WALKS; w++) {
        end[w] = part > 0 ? pass_anew(p, w * part, limit) : 0;
    }
    for (size_t i = 0; i < part; i++) {
        for (size_t w = 0; w < WALKS; w++) {
            end[w] = pass(p, w * part + i, limit, end[w]);
            total += above(end[w], first_of(p, w * part + i));
        }
    }
    for (size_t i = WALKS * part; i < p->rows; i++) {
        end[WALKS - 1] = pass(p, i, limit, end[WALKS - 1]);
        total += above(end[WALKS - 1], first_of(p, i));
    }
    return total;
}

/* The pairs above LOW and up to HIGH, at most NEAR of them; OUT holds AHEAD more. */
static size_t gather(const struct pairs *p, double low, double high, double *out) {
    size_t count = 0;
    size_t start = pass_anew(p, 0, low);
    size_t end = pass_anew(p, 0, high);
    for (size_t i = 0; i < p->rows; i++) {
        start = pass(p, i, low, start);
        end = pass(p, i, high, end);
        const size_t from = first_of(p, i);
        const size_t begin = start > from ? start : from;
        for (size_t j = begin; j < end; j += AHEAD) { /* mostly once: what is too much is written
                                                         over */
            for (size_t k = 0; k < AHEAD; k++) {
                out[count + j - begin + k] = p->row[i] + p->col[j + k];
            }
        }
        count += above(end, begin);
    }
    return count;
}

static size_t all_pairs(const struct pairs *p) {
    const size_t triangle = p->rows * (p->rows - 1) / 2;
    return p->first == FROM_START ? p->rows * p->cols
           : p->first == FROM_OWN ? triangle + p->rows
                                  : triangle;
}

/* The pairs above LOW and up to HIGH hold the sought one: few, or all equal. */
struct bracket {
    double low, high;
    size_t below, upto; /* how many pairs lie at or below them */
};

/* How many pairs are as small as LEAST, which none is below. */
static size_t count_least(const struct pairs *p, double least) {
    const size_t last = p->rows - 1;
    const bool one = p->first != AFTER_OWN && p->row[last] + p->col[1] > least &&
                     (last == 0 || p->row[last - 1] + p->col[first_of(p, last - 1)] > least);
    return one ? 1 : count_up_to(p, least);
}

/* From the smallest to the largest pair. */
static struct bracket whole(const struct pairs *p) {
    const size_t last = p->rows - 1;
    const double least = p->first == AFTER_OWN ? 0.0 : p->row[last] + p->col[0];
    const double most = p->row[0] + p->col[p->cols - 1];
    return (struct bracket){least, most, count_least(p, least), all_pairs(p)};
}

/* Where to look next between two numbers, OF of the pairs between them lying below what is sought:
 * in proportion, and every other time half-way, so that no shape of the sample can stall it. */
static double between(double low, double high, double of, int turn) {
    double share = turn % 3 == 2 ? 0.5 : fmin(fmax(of, 0.02), 0.98);
    return low + (high - low) * share;
}

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

/* The K-th smallest pair, K from 1; OUT_BEFORE: the one before it where that is at hand, else NAN.
 */
static double select_pair(const struct pairs *p, size_t k, double *out_before) {
    double near[NEAR + AHEAD];
    struct bracket b = whole(p);
    *out_before = b.low;
    if (k <= b.below) {
        return b.low;
    }
    narrow(p, k, &b);
    *out_before = NAN;
    if (b.upto - b.below > NEAR) {
        return b.high; /* all equal but for the last bits */
    }
    const size_t count = gather(p, b.low, b.high, near);
    return eh_select_two(near, count, k - b.below - 1, out_before);
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
static size_t thin(double *v, size_t n, double *out) {
    eh_sort(v, n);
    if (n <= EH_STATS_EXACT) {
        memcpy(out, v, n * sizeof *v);
        return n;
    }
    for (size_t i = 0; i < EH_STATS_EXACT; i++) {
        out[i] = eh_quantile(v, n, ((double)i + 0.5) / (double)EH_STATS_EXACT);
    }
    return EH_STATS_EXACT;
}

/* Puts rising values into pairs: falling as the rows, and as the columns. */
static void lay_rows(struct pairs *p, const double *x, size_t n, bool minus) {
    p->rows = n;
    for (size_t i = 0; i < n; i++) {
        p->row[i] = minus ? -x[i] : x[n - 1 - i];
    }
}

static void lay_cols(struct pairs *p, const double *x, size_t n, bool minus) {
    p->cols = n;
    for (size_t i = 0; i < n; i++) {
        p->col[i] = minus ? -x[n - 1 - i] : x[i];
    }
    for (size_t i = 0; i < AHEAD; i++) {
        p->col[n + i] = INFINITY;
    }
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
    size_t m = thin(v, n, x);
    if (m == 0) {
        return e;
    }
    struct pairs p;
    p.first = FROM_OWN;
    lay_rows(&p, x, m, false);
    lay_cols(&p, x, m, false);
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
    size_t xs = thin(a, a_count, x);
    size_t ys = thin(b, b_count, y);
    if (xs == 0 || ys == 0) {
        return e;
    }
    struct pairs p;
    p.first = FROM_START;
    bool more = xs >= ys; /* more rows than columns: short ways from row to row */
    lay_rows(&p, more ? x : y, more ? xs : ys, !more);
    lay_cols(&p, more ? y : x, more ? ys : xs, more);
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
    struct eh_estimate e = {NAN, NAN, NAN, n};
    n = eh_sample(v, n);
    size_t m = thin(v, n, x);
    if (m < 2) {
        return e;
    }
    struct pairs p;
    p.first = AFTER_OWN;
    lay_rows(&p, x, m, true);
    lay_cols(&p, x, m, false);
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
