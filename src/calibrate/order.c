/* What order statistics say: a median, and the edge of what is seen. */
#include <math.h>

#include "parts.h"

/* P(Bin(n, 1/2) <= k). */
static double binomial_half_cdf(size_t n, size_t k) {
    double term = 1.0; /* n choose i */
    double sum = 0.0;
    for (size_t i = 0; i <= k && i <= n; i++) {
        sum += term;
        term *= (double)(n - i) / (double)(i + 1);
    }
    return ldexp(sum, -(int)n);
}

/* How many values may be left out at either end so that the rest covers the median with 90 %: the
 * sign test's interval. 0: even all of them do not. */
static size_t sign_rank(size_t n) {
    size_t rank = 0;
    while (rank < n / 2 && binomial_half_cdf(n, rank) <= 0.05) {
        rank++;
    }
    return rank;
}

/* The median of grouped data: a value stands for the step around it. */
static double grouped(const double *v, size_t n, size_t unheard, double step) {
    const double half = 0.5 * (double)(n + unheard);
    size_t i = 0;
    while (i + 1 < n && (double)(unheard + i + 1) < half) {
        i++;
    }
    if ((double)(unheard + i + 1) == half && i + 1 < n && v[i + 1] > v[i]) {
        return 0.5 * (v[i] + v[i + 1]);
    }
    size_t below = i;
    size_t above = i;
    while (below > 0 && v[below - 1] == v[i]) {
        below--;
    }
    while (above + 1 < n && v[above + 1] == v[i]) {
        above++;
    }
    const double share = (half - (double)(unheard + below)) / (double)(above - below + 1);
    return v[i] + step * (share - 0.5);
}

struct eh_estimate eh_velocity_median(double *v, size_t n, size_t unheard, double step) {
    struct eh_estimate estimate = {.value = NAN, .low = NAN, .high = NAN, .n = n};
    if (n == 0 || unheard >= n) {
        return estimate;
    }
    eh_sort(v, n);
    estimate.value = grouped(v, n, unheard, step);
    const size_t rank = sign_rank(n + unheard);
    if (rank > 0) {
        /* The rank-th from either end, the unheard counted as the lowest. */
        estimate.low = rank > unheard ? v[rank - unheard - 1] - 0.5 * step : -INFINITY;
        estimate.high = v[n - rank] + 0.5 * step;
        estimate.low = fmin(estimate.low, estimate.value);
        estimate.high = fmax(estimate.high, estimate.value);
    }
    return estimate;
}

/* How many of the lowest values tell how densely they lie near the edge: few, since the density is
 * taken as even. */
enum { EDGE_VALUES = 8 };

struct eh_estimate eh_edge(const double *v, size_t n, double step) {
    struct eh_estimate estimate = {.value = NAN, .low = NAN, .high = NAN, .n = n};
    if (n < 4) {
        return estimate;
    }
    const size_t k = n / 2 < EDGE_VALUES ? n / 2 : EDGE_VALUES;
    const double width = v[k - 1] - v[0] + step;
    const double power = -1.0 / ((double)k - 1.0);
    estimate.value = v[0] - width * (pow(0.50, power) - 1.0);
    estimate.low = v[0] - width * (pow(0.05, power) - 1.0);
    estimate.high = v[0] - width * (pow(0.95, power) - 1.0) + 0.5 * step;
    return estimate;
}
