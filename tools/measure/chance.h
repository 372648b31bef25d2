/* Chance for the measuring bench: one generator a run, so that a run depends on its seed alone and
 * not on what was run before it or beside it. */
#ifndef MEASURE_CHANCE_H
#define MEASURE_CHANCE_H

#include <stdbool.h>
#include <stdint.h>

struct chance {
    uint64_t s[4];
};

/* A seed made from two numbers. */
uint64_t chance_mix(uint64_t a, uint64_t b);

/* A seed made from words. */
uint64_t chance_hash(const char *words);

void chance_seed(struct chance *chance, uint64_t seed);
uint64_t chance_next(struct chance *chance);

double chance_unit(struct chance *chance);                        /* 0 < x < 1 */
double chance_between(struct chance *chance, double a, double b); /* even between the two */
bool chance_happens(struct chance *chance, double share);
int chance_pick(struct chance *chance, int from, int to); /* a whole number, both included */
double chance_normal(struct chance *chance);              /* mean 0, SD 1 */

/* Normal about CENTRE with SD, drawn again until it lies within REACH of CENTRE. */
double chance_within(struct chance *chance, double centre, double sd, double reach);

/* Student's t with two degrees of freedom, scaled so that 1.4826 MAD is 1: the tails of second
 * strokes, whose SD is 1.6 times that as long as they stay within their span. */
double chance_tailed(struct chance *chance);

#endif
