/* Pool adjacent violators. */
#include "evenhand/calibrate.h"

/* Writes the blocks' means over their values, from the last block backwards: a block's place in Y
 * is never behind its first value, so no mean is overwritten before it was read. */
static void spread(double *y, const size_t *blocks, size_t count, size_t n) {
    size_t end = n;
    for (size_t b = count; b-- > 0;) {
        const double mean = y[b];
        for (size_t i = 0; i < blocks[b]; i++) {
            y[--end] = mean;
        }
    }
}

size_t eh_isotonic(double *y, double *weights, size_t n, size_t *blocks) {
    size_t count = 0; /* blocks [0, count) have their means in y, weights in weights */
    for (size_t i = 0; i < n; i++) {
        y[count] = y[i];
        weights[count] = weights[i];
        blocks[count] = 1;
        for (; count > 0 && y[count - 1] > y[count]; count--) {
            const double both = weights[count - 1] + weights[count];
            y[count - 1] = (weights[count - 1] * y[count - 1] + weights[count] * y[count]) / both;
            weights[count - 1] = both;
            blocks[count - 1] += blocks[count];
        }
        count++;
    }
    spread(y, blocks, count, n);
    return count;
}
