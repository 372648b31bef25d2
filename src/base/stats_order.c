/* Sorting and selection in place. The C library's qsort allocates, and calls a function for every
 * comparison; these do neither. */
#include "evenhand/stats.h"

#include <math.h>

enum { SMALL = 16 };

static void swap(double *a, double *b) {
    double t = *a;
    *a = *b;
    *b = t;
}

static void sort_small(double *v, size_t n) {
    for (size_t i = 1; i < n; i++) {
        double x = v[i];
        size_t j = i;
        for (; j > 0 && v[j - 1] > x; j--) {
            v[j] = v[j - 1];
        }
        v[j] = x;
    }
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

/* Puts the median of first, middle and last into the first place and splits round it: returns the
 * place where it belongs; nothing before is larger, nothing after smaller. */
static size_t split(double *v, size_t n) {
    size_t middle = n / 2;
    if (v[middle] < v[0]) {
        swap(&v[middle], &v[0]);
    }
    if (v[n - 1] < v[0]) {
        swap(&v[n - 1], &v[0]);
    }
    if (v[n - 1] < v[middle]) {
        swap(&v[n - 1], &v[middle]);
    }
    swap(&v[0], &v[middle]);
    double pivot = v[0];
    size_t i = 0;
    size_t j = n;
    for (;;) {
        do {
            i++;
        } while (i < n && v[i] < pivot);
        do {
            j--;
        } while (v[j] > pivot);
        if (i >= j) {
            break;
        }
        swap(&v[i], &v[j]);
    }
    swap(&v[0], &v[j]);
    return j;
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
        size_t at = split(v, n);
        size_t after = n - at - 1;
        if (at < after) {
            sort_depth(v, at, depth);
            v += at + 1;
            n = after;
        } else {
            sort_depth(v + at + 1, after, depth);
            n = at;
        }
    }
    sort_small(v, n);
}

void eh_sort(double *v, size_t n) {
    sort_depth(v, n, depth_of(n));
}

double eh_select(double *v, size_t n, size_t k) {
    double *all = v;
    size_t wanted = k;
    int depth = depth_of(n);
    while (n > SMALL) {
        if (depth-- == 0) {
            sort_heap(v, n);
            return all[wanted];
        }
        size_t at = split(v, n);
        if (k == at) {
            return v[at];
        }
        if (k < at) {
            n = at;
        } else {
            v += at + 1;
            k -= at + 1;
            n -= at + 1;
        }
    }
    sort_small(v, n);
    return all[wanted];
}

double eh_median(double *v, size_t n) {
    if (n == 0) {
        return NAN;
    }
    double upper = eh_select(v, n, n / 2);
    if (n % 2 == 1) {
        return upper;
    }
    double lower = v[0];
    for (size_t i = 1; i < n / 2; i++) {
        lower = v[i] > lower ? v[i] : lower;
    }
    return lower + (upper - lower) / 2.0;
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
