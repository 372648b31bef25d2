/* Sorting and selection in place. The C library's qsort allocates, and calls a function for every
 * comparison; these do neither. Nor do they branch on what a comparison says: on samples that are
 * in no order half of such branches are guessed wrong, and that costs more than all the rest. */
#include "evenhand/stats.h"

#include <math.h>
#include <string.h>

#include "stats_order.h"

enum { SMALL = 16, HALF = 8 };

/* Puts two values in order: a minimum and a maximum. Written with one comparison for both it would
 * be compiled to a branch. */
static inline void order(double *a, double *b) {
    const double x = *a;
    const double y = *b;
    *a = y < x ? y : x;
    *b = x < y ? y : x;
}

/* Batcher's odd-even merge sort (Knuth, TAOCP 5.3.4), written out so that a compiler keeps the row
 * in registers. */
static inline void sort_eight(double *v) {
    order(&v[0], &v[1]);
    order(&v[2], &v[3]);
    order(&v[0], &v[2]);
    order(&v[1], &v[3]);
    order(&v[1], &v[2]);
    order(&v[4], &v[5]);
    order(&v[6], &v[7]);
    order(&v[4], &v[6]);
    order(&v[5], &v[7]);
    order(&v[5], &v[6]);
    order(&v[0], &v[4]);
    order(&v[2], &v[6]);
    order(&v[2], &v[4]);
    order(&v[1], &v[5]);
    order(&v[3], &v[7]);
    order(&v[3], &v[5]);
    order(&v[1], &v[2]);
    order(&v[3], &v[4]);
    order(&v[5], &v[6]);
}

/* Two sorted rows of eight to one. */
static inline void merge_eights(double *v) {
    order(&v[0], &v[8]);
    order(&v[4], &v[12]);
    order(&v[4], &v[8]);
    order(&v[2], &v[10]);
    order(&v[6], &v[14]);
    order(&v[6], &v[10]);
    order(&v[2], &v[4]);
    order(&v[6], &v[8]);
    order(&v[10], &v[12]);
    order(&v[1], &v[9]);
    order(&v[5], &v[13]);
    order(&v[5], &v[9]);
    order(&v[3], &v[11]);
    order(&v[7], &v[15]);
    order(&v[7], &v[11]);
    order(&v[3], &v[5]);
    order(&v[7], &v[9]);
    order(&v[11], &v[13]);
    order(&v[1], &v[2]);
    order(&v[3], &v[4]);
    order(&v[5], &v[6]);
    order(&v[7], &v[8]);
    order(&v[9], &v[10]);
    order(&v[11], &v[12]);
    order(&v[13], &v[14]);
}

/* Up to SMALL values; what is lacking is filled up with values that stay behind them. */
static void sort_small(double *v, size_t n) {
    double row[SMALL];
    if (n < 2) {
        return;
    }
    for (size_t i = 0; i < SMALL; i++) {
        row[i] = INFINITY;
    }
    memcpy(row, v, n * sizeof *v);
    sort_eight(row);
    if (n > HALF) {
        sort_eight(row + HALF);
        merge_eights(row);
    }
    memcpy(v, row, n * sizeof *v);
}

static void swap(double *a, double *b) {
    double t = *a;
    *a = *b;
    *b = t;
}

static void sift(double *v, size_t root, size_t n) {
    for (;;) {
        size_t child = 2 * root + 1;
        if (child >= n) {
            return;
        }
        if (child + 1 < n && v[child] < v[child + 1]) {
            child++;
        }
        if (v[root] >= v[child]) {
            return;
        }
        swap(&v[root], &v[child]);
        root = child;
    }
}

static void sort_heap(double *v, size_t n) {
    for (size_t i = n / 2; i-- > 0;) {
        sift(v, i, n);
    }
    for (size_t end = n; end-- > 1;) {
        swap(&v[0], &v[end]);
        sift(v, 0, end);
    }
}

/* Moves the values of V[FROM .. n) that are less than PIVOT to FROM on and returns where they end.
 * Every value is moved, whether it must or not, so that only the place for the next one depends on
 * the comparison. */
static size_t gather_less(double *v, size_t from, size_t n, double pivot) {
    for (size_t i = from; i < n; i++) {
        const double x = v[i];
        v[i] = v[from];
        v[from] = x;
        from += x < pivot;
    }
    return from;
}

static size_t gather_upto(double *v, size_t from, size_t n, double pivot) {
    for (size_t i = from; i < n; i++) {
        const double x = v[i];
        v[i] = v[from];
        v[from] = x;
        from += x <= pivot;
    }
    return from;
}

/* The middle one of three from within: rows come sorted, too, and the split may have brought the
 * largest of such a row to its front. */
static double pivot_of(const double *v, size_t n) {
    double three[3] = {v[n / 4], v[n / 2], v[n - 1 - n / 4]};
    order(&three[0], &three[1]);
    order(&three[1], &three[2]);
    order(&three[0], &three[1]);
    return three[1];
}

/* Values before FROM are less than those from TO on; those between equal the pivot. */
struct cut {
    size_t from, to;
};

/* Where hardly anything lies below the pivot there may be many of its own (levels of a pad with few
 * steps), which are put together. */
static struct cut split(double *v, size_t n) {
    const double pivot = pivot_of(v, n);
    const size_t from = gather_less(v, 0, n, pivot);
    return (struct cut){from, from < n / 8 ? gather_upto(v, from, n, pivot) : from};
}

static int depth_of(size_t n) {
    int depth = 2;
    for (; n > 0; n >>= 1) {
        depth += 2;
    }
    return depth;
}

/* The larger part is done by the loop, so that the recursion stays shallow; a row that splits
 * badly too often is left to the heap. */
static void sort_depth(double *v, size_t n, int depth) {
    while (n > SMALL) {
        if (depth-- == 0) {
            sort_heap(v, n);
            return;
        }
        const struct cut cut = split(v, n);
        const size_t after = n - cut.to;
        if (cut.from < after) {
            sort_depth(v, cut.from, depth);
            v += cut.to;
            n = after;
        } else {
            sort_depth(v + cut.to, after, depth);
            n = cut.from;
        }
    }
    sort_small(v, n);
}

void eh_sort(double *v, size_t n) {
    sort_depth(v, n, depth_of(n));
}

/* Brings the K-th smallest to its place. Returns from where on V must be searched for the one
 * before it: what lies further ahead is no larger. */
static size_t place(double *v, size_t n, size_t k) {
    size_t begin = 0;
    size_t end = n;
    size_t from = 0; /* what precedes BEGIN is largest here or behind */
    int depth = depth_of(n);
    while (end - begin > SMALL) {
        if (depth-- == 0) {
            sort_heap(v + begin, end - begin);
            break;
        }
        const struct cut cut = split(v + begin, end - begin);
        if (k < begin + cut.from) {
            end = begin + cut.from;
        } else if (k >= begin + cut.to) {
            from = cut.to > cut.from ? begin + cut.to - 1 : begin;
            begin += cut.to;
        } else {
            from = cut.from > 0 ? begin : from;
            begin += cut.from;
            return k > begin ? k - 1 : from;
        }
    }
    if (end - begin <= SMALL) {
        sort_small(v + begin, end - begin);
    }
    return k > begin ? k - 1 : from;
}

double eh_select(double *v, size_t n, size_t k) {
    (void)place(v, n, k);
    return v[k];
}

double eh_select_two(double *v, size_t n, size_t k, double *out_before) {
    const size_t from = place(v, n, k);
    double before = k > 0 ? v[from] : NAN;
    for (size_t i = from + 1; i < k; i++) {
        before = v[i] > before ? v[i] : before;
    }
    *out_before = before;
    return v[k];
}

double eh_median(double *v, size_t n) {
    double lower = NAN;
    if (n == 0) {
        return NAN;
    }
    const double upper = eh_select_two(v, n, n / 2, &lower);
    return n % 2 == 1 ? upper : lower + (upper - lower) / 2.0;
}

double eh_mad(double *v, size_t n) {
    double centre = eh_median(v, n);
    for (size_t i = 0; i < n; i++) {
        v[i] = fabs(v[i] - centre);
    }
    return 1.482602218505602 * eh_median(v, n);
}

double eh_quantile(const double *sorted, size_t n, double p) {
    if (n == 0) {
        return NAN;
    }
    double at = p * (double)(n - 1);
    size_t below = (size_t)at;
    if (below + 1 >= n) {
        return sorted[n - 1];
    }
    return sorted[below] + (at - (double)below) * (sorted[below + 1] - sorted[below]);
}
