#include "chance.h"

#include <math.h>

/* Steele, Lea & Flood 2014, "Fast splittable pseudorandom number generators", OOPSLA. */
static uint64_t split_mix(uint64_t *state) {
    *state += UINT64_C(0x9E3779B97F4A7C15);
    uint64_t z = *state;
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

uint64_t chance_mix(uint64_t a, uint64_t b) {
    uint64_t state = a;
    const uint64_t first = split_mix(&state);
    state = first ^ b;
    return split_mix(&state);
}

/* Fowler, Noll & Vo's FNV-1a, 64 bits. */
uint64_t chance_hash(const char *words) {
    uint64_t hash = UINT64_C(0xCBF29CE484222325);
    for (const char *c = words; *c != '\0'; c++) {
        hash = (hash ^ (uint8_t)*c) * UINT64_C(0x100000001B3);
    }
    return hash;
}

void chance_seed(struct chance *chance, uint64_t seed) {
    uint64_t state = seed;
    for (int i = 0; i < 4; i++) {
        chance->s[i] = split_mix(&state);
    }
}

static uint64_t turn(uint64_t x, int by) {
    return (x << by) | (x >> (64 - by));
}

/* xoshiro256**, Blackman & Vigna 2021, ACM Trans. Math. Softw. 47, 36. */
uint64_t chance_next(struct chance *chance) {
    uint64_t *s = chance->s;
    const uint64_t result = turn(s[1] * 5, 7) * 9;
    const uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = turn(s[3], 45);
    return result;
}

double chance_unit(struct chance *chance) {
    return ((double)(chance_next(chance) >> 11) + 0.5) / 9007199254740992.0;
}

double chance_between(struct chance *chance, double a, double b) {
    return a + (b - a) * chance_unit(chance);
}

bool chance_happens(struct chance *chance, double share) {
    return chance_unit(chance) < share;
}

int chance_pick(struct chance *chance, int from, int to) {
    return from + (int)(chance_unit(chance) * (double)(to - from + 1));
}

/* Box & Muller 1958, Ann. Math. Stat. 29, 610-611; the second value is not kept, so that one call
 * takes two numbers always. */
double chance_normal(struct chance *chance) {
    const double radius = sqrt(-2.0 * log(chance_unit(chance)));
    return radius * cos(6.283185307179586 * chance_unit(chance));
}

double chance_within(struct chance *chance, double centre, double sd, double reach) {
    double x = 0.0;
    do {
        x = chance_normal(chance) * sd;
    } while (fabs(x) > reach);
    return centre + x;
}

double chance_tailed(struct chance *chance) {
    /* The quartile of t with two degrees of freedom is 0.81650 (Abramowitz & Stegun, table 26.10),
     * that of a normal 0.67449. */
    static const double scale = 0.67449 / 0.81650;
    double squares = 0.0;
    const double x = chance_normal(chance);
    for (int i = 0; i < 2; i++) {
        const double y = chance_normal(chance);
        squares += y * y;
    }
    return scale * x / sqrt(squares / 2.0);
}
