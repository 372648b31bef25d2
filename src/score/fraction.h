/* A length as a person reads it: 3/16 of a whole note. */
#ifndef SCORE_FRACTION_H
#define SCORE_FRACTION_H

struct score_fraction {
    long long over, under;
};

/* OVER / UNDER in lowest terms; UNDER > 0, OVER >= 0. */
static inline struct score_fraction score_fraction(long long over, long long under) {
    long long a = under;
    long long b = over;
    while (b != 0) {
        const long long rest = a % b;
        a = b;
        b = rest;
    }
    return (struct score_fraction){.over = over / a, .under = under / a};
}

#endif
