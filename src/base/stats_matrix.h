/* Small symmetric matrices of least-squares fits. Private to the room. */
#ifndef EVENHAND_BASE_STATS_MATRIX_H
#define EVENHAND_BASE_STATS_MATRIX_H

#include <stdbool.h>

/* Inverts the upper left SIZE x SIZE of M, symmetric and positive, into OUT; M is used up. False
 * when it is singular. OUT_LOG_DET (NULL is accepted): the logarithm of its determinant. */
bool eh_invert3(double m[3][3], double out[3][3], int size, double *out_log_det);

#endif
