#include "stats_matrix.h"

#include <math.h>
#include <stddef.h>

static void start(double m[3][3], double out[3][3], int size, double *out_scale) {
    *out_scale = 0.0;
    for (int i = 0; i < size; i++) {
        *out_scale = fmax(*out_scale, m[i][i]);
        for (int j = 0; j < size; j++) {
            out[i][j] = i == j ? 1.0 : 0.0;
        }
    }
}

/* Takes multiples of row I from the others, so that column I is zero there. */
static void clear_column(double m[3][3], double out[3][3], int size, int i) {
    for (int r = 0; r < size; r++) {
        double f = m[r][i];
        for (int j = 0; r != i && j < size; j++) {
            m[r][j] -= f * m[i][j];
            out[r][j] -= f * out[i][j];
        }
    }
}

bool eh_invert3(double m[3][3], double out[3][3], int size, double *out_log_det) {
    double scale = 0.0;
    double log_det = 0.0;
    start(m, out, size, &scale);
    for (int i = 0; i < size; i++) {
        double pivot = m[i][i];
        if (!(pivot > 1e-12 * scale)) {
            return false;
        }
        log_det += log(pivot);
        for (int j = 0; j < size; j++) {
            m[i][j] /= pivot;
            out[i][j] /= pivot;
        }
        clear_column(m, out, size, i);
    }
    if (out_log_det != NULL) {
        *out_log_det = log_det;
    }
    return true;
}
