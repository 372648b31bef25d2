#include "random.h"

static uint64_t splitmix(uint64_t *state) {
    *state += UINT64_C(0x9e3779b97f4a7c15);
    uint64_t z = *state;
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

static uint64_t rotate_left(uint64_t x, int bits) {
    return (x << bits) | (x >> (64 - bits));
}

void eh_random_seed(struct eh_random *random, uint64_t seed, uint64_t stream) {
    uint64_t of_stream = stream;
    uint64_t state = seed ^ splitmix(&of_stream);
    for (int i = 0; i < 4; i++) {
        random->state[i] = splitmix(&state);
    }
}

uint64_t eh_random_next(struct eh_random *random) {
    uint64_t *s = random->state;
    const uint64_t result = rotate_left(s[1] * 5, 7) * 9;
    const uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate_left(s[3], 45);
    return result;
}

double eh_random_unit(struct eh_random *random) {
    return (double)(eh_random_next(random) >> 11) * 0x1.0p-53;
}

size_t eh_random_index(struct eh_random *random, size_t count) {
    const size_t index = (size_t)(eh_random_unit(random) * (double)count);
    return index < count ? index : count - 1;
}

double eh_random_normal(struct eh_random *random) {
    double sum = -6.0;
    for (int i = 0; i < 12; i++) {
        sum += eh_random_unit(random);
    }
    return sum;
}

double eh_random_human(struct eh_random *random) {
    const double size = eh_random_unit(random) < 0.04 ? 2.0 : 1.0;
    return size * eh_random_normal(random);
}

double eh_exp_exact(double x) {
    if (x < 0.0) {
        return 1.0 / eh_exp_exact(-x);
    }
    /* The series of x / 1024, then squared ten times. */
    const double y = x / 1024.0;
    double term = 1.0;
    double sum = 0.0; /* of exp(y) - 1, kept apart from the 1 so that no digits are lost */
    for (int k = 1; k <= 12; k++) {
        term *= y / k;
        sum += term;
    }
    for (int i = 0; i < 10; i++) {
        sum = sum * (sum + 2.0);
    }
    return 1.0 + sum;
}

double eh_db_ratio(double db) {
    return eh_exp_exact(db * 0.11512925464970229); /* ln 10 / 20 */
}
