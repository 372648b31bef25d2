/* Chance that is the same everywhere for the same seed. */
#ifndef TESTS_PROPERTIES_CHANCE_H
#define TESTS_PROPERTIES_CHANCE_H

#include <stdbool.h>
#include <stdint.h>

struct chance {
    uint64_t state; /* any value is a seed */
};

uint64_t chance_next(struct chance *chance);
int chance_below(struct chance *chance, int n); /* 0 .. n - 1; n > 0 */
bool chance_of(struct chance *chance, int percent);
double chance_between(struct chance *chance, double low, double high);
double chance_normal(struct chance *chance); /* mean 0, standard deviation 1 */

#endif
