#include "chance.h"

#include <math.h>

/* splitmix64 (Steele, Lea & Flood 2014). */
uint64_t chance_next(struct chance *chance) {
    chance->state += UINT64_C(0x9E3779B97F4A7C15);
    uint64_t z = chance->state;
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

int chance_below(struct chance *chance, int n) {
    return (int)((chance_next(chance) >> 33) % (uint64_t)n);
}

bool chance_of(struct chance *chance, int percent) {
    return chance_below(chance, 100) < percent;
}

double chance_between(struct chance *chance, double low, double high) {
    return low + (high - low) * ((double)(chance_next(chance) >> 11) * 0x1.0p-53);
}

double chance_normal(struct chance *chance) {
    const double u = 1.0 - chance_between(chance, 0.0, 1.0);
    return sqrt(-2.0 * log(u)) * cos(6.283185307179586 * chance_between(chance, 0.0, 1.0));
}
