/* Moments, the normal and Student distributions, shares. */
#include "evenhand/stats.h"

#include <math.h>

double eh_normal_cdf(double z) {
    return 0.5 * erfc(-z / sqrt(2.0));
}

/* c[0] + c[1] x + ... + c[7] x^7 */
static double polynomial(const double c[8], double x) {
    double sum = 0.0;
    for (int i = 7; i >= 0; i--) {
        sum = sum * x + c[i];
    }
    return sum;
}

static double quantile_centre(double q) {
    static const double a[8] = {3.3871328727963666080e0, 1.3314166789178437745e2,
                                1.9715909503065514427e3, 1.3731693765509461125e4,
                                4.5921953931549871457e4, 6.7265770927008700853e4,
                                3.3430575583588128105e4, 2.5090809287301226727e3};
    static const double b[8] = {1.0,
                                4.2313330701600911252e1,
                                6.8718700749205790830e2,
                                5.3941960214247511077e3,
                                2.1213794301586595867e4,
                                3.9307895800092710610e4,
                                2.8729085735721942674e4,
                                5.2264952788528545610e3};
    double r = 0.180625 - q * q;
    return q * polynomial(a, r) / polynomial(b, r);
}

static double quantile_tail(double r) {
    static const double c[8] = {1.42343711074968357734e0,  4.63033784615654529590e0,
                                5.76949722146069140550e0,  3.64784832476320460504e0,
                                1.27045825245236838258e0,  2.41780725177450611770e-1,
                                2.27238449892691845833e-2, 7.74545014278341407640e-4};
    static const double d[8] = {1.0,
                                2.05319162663775882187e0,
                                1.67638483018380384940e0,
                                6.89767334985100004550e-1,
                                1.48103976427480074590e-1,
                                1.51986665636164571966e-2,
                                5.47593808499534494600e-4,
                                1.05075007164441684324e-9};
    static const double e[8] = {6.65790464350110377720e0,  5.46378491116411436990e0,
                                1.78482653991729133580e0,  2.96560571828504891230e-1,
                                2.65321895265761230930e-2, 1.24266094738807843860e-3,
                                2.71155556874348757815e-5, 2.01033439929228813265e-7};
    static const double f[8] = {1.0,
                                5.99832206555887937690e-1,
                                1.36929880922735805310e-1,
                                1.48753612908506148525e-2,
                                7.86869131145613259100e-4,
                                1.84631831751005468180e-5,
                                1.42151175831644588870e-7,
                                2.04426310338993978564e-15};
    if (r <= 5.0) {
        return polynomial(c, r - 1.6) / polynomial(d, r - 1.6);
    }
    return polynomial(e, r - 5.0) / polynomial(f, r - 5.0);
}

double eh_normal_quantile(double p) {
    double q = p - 0.5;
    if (fabs(q) <= 0.425) {
        return quantile_centre(q);
    }
    double r = sqrt(-log(q < 0.0 ? p : 1.0 - p));
    return q < 0.0 ? -quantile_tail(r) : quantile_tail(r);
}

double eh_student_quantile(double p, double df) {
    double z = eh_normal_quantile(p);
    double z2 = z * z;
    double g1 = (z2 + 1.0) / 4.0;
    double g2 = ((5.0 * z2 + 16.0) * z2 + 3.0) / 96.0;
    double g3 = (((3.0 * z2 + 19.0) * z2 + 17.0) * z2 - 15.0) / 384.0;
    double g4 = ((((79.0 * z2 + 776.0) * z2 + 1482.0) * z2 - 1920.0) * z2 - 945.0) / 92160.0;
    return z * (1.0 + (g1 + (g2 + (g3 + g4 / df) / df) / df) / df);
}

double eh_chi_square_quantile(double p, double df) {
    const double ninth = 2.0 / (9.0 * df);
    const double root = fmax(1.0 - ninth + eh_normal_quantile(p) * sqrt(ninth), 0.0);
    return df * root * root * root;
}

double eh_mean(const double *v, size_t n) {
    if (n == 0) {
        return NAN;
    }
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        sum += v[i];
    }
    double mean = sum / (double)n;
    double rest = 0.0;
    for (size_t i = 0; i < n; i++) {
        rest += v[i] - mean;
    }
    return mean + rest / (double)n;
}

double eh_sd(const double *v, size_t n) {
    if (n < 2) {
        return NAN;
    }
    double mean = eh_mean(v, n);
    double squares = 0.0;
    double rest = 0.0;
    for (size_t i = 0; i < n; i++) {
        double d = v[i] - mean;
        squares += d * d;
        rest += d;
    }
    return sqrt((squares - rest * rest / (double)n) / (double)(n - 1));
}

double eh_lag1(const double *v, size_t n) {
    if (n < 2) {
        return NAN;
    }
    double mean = eh_mean(v, n);
    double all = 0.0;
    double next = 0.0;
    for (size_t i = 0; i < n; i++) {
        double d = v[i] - mean;
        all += d * d;
        if (i + 1 < n) {
            next += d * (v[i + 1] - mean);
        }
    }
    return all > 0.0 ? next / all : NAN;
}

struct eh_estimate eh_share(size_t hits, size_t n, double confidence) {
    struct eh_estimate e = {NAN, NAN, NAN, n};
    if (n == 0) {
        return e;
    }
    double z2 = pow(eh_normal_quantile(0.5 + confidence / 2.0), 2.0);
    double count = (double)n;
    double p = (double)hits / count;
    double centre = p + z2 / (2.0 * count);
    double half = sqrt(z2 * p * (1.0 - p) / count + z2 * z2 / (4.0 * count * count));
    double scale = 1.0 + z2 / count;
    e.value = p;
    e.low = hits == 0 ? 0.0 : (centre - half) / scale;
    e.high = hits == n ? 1.0 : (centre + half) / scale;
    return e;
}
