#include "decimal.h"

#include <math.h>

enum { DIGITS = 15 };

bool decimal_read(const char *text, double *out) {
    bool minus = *text == '-';
    const char *p = text + minus;
    double digits = 0.0; /* stays below 2^53: exact */
    double scale = 1.0;  /* a power of ten below 10^22: exact */
    int count = 0;
    bool point = false;
    for (; *p != '\0'; p++) {
        if (*p == '.' && !point) {
            point = true;
        } else if (*p >= '0' && *p <= '9' && count < DIGITS) {
            digits = digits * 10.0 + (*p - '0');
            scale *= point ? 10.0 : 1.0;
            count++;
        } else {
            return false;
        }
    }
    *out = (minus ? -digits : digits) / scale;
    return count > 0;
}

void decimal_write(struct eh_text *out, double value) {
    long long millionths = llround(fabs(value) * 1e6);
    long long rest = millionths % 1000000;
    eh_text_printf(out, "%s%lld", value < 0.0 && millionths != 0 ? "-" : "", millionths / 1000000);
    if (rest == 0) {
        return;
    }
    int places = 6;
    while (rest % 10 == 0) {
        rest /= 10;
        places--;
    }
    eh_text_printf(out, ".%0*lld", places, rest);
}
