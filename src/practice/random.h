/* Repeatable chance for the demo player.
 *
 * xoshiro256** seeded by splitmix64 (Blackman and Vigna, "Scrambled linear pseudorandom number
 * generators", 2021; both algorithms are in the public domain). Everything derived from it uses
 * only +, -, *, / and sqrt, which IEEE 754 rounds correctly, so the same seed gives the same
 * numbers on every machine: no function of libm that may differ from one to the next. */
#ifndef EH_PRACTICE_RANDOM_H
#define EH_PRACTICE_RANDOM_H

#include <stddef.h>
#include <stdint.h>

struct eh_random {
    uint64_t state[4];
};

/* STREAM keeps the uses of one seed apart, so that asking for a fault does not reshuffle the
 * scatter of the strokes. */
void eh_random_seed(struct eh_random *random, uint64_t seed, uint64_t stream);

uint64_t eh_random_next(struct eh_random *random);

/* 0 <= x < 1. */
double eh_random_unit(struct eh_random *random);

/* 0 .. COUNT-1; COUNT > 0. */
size_t eh_random_index(struct eh_random *random, size_t count);

/* Nearly normal, mean 0, standard deviation 1: the sum of twelve units less 6 (Irwin-Hall). */
double eh_random_normal(struct eh_random *random);

/* The same with one value in 25 doubled: a person's errors have heavier tails than the normal. */
double eh_random_human(struct eh_random *random);

/* e to the power of X, -40 <= X <= 40, to 1e-12 of its value. */
double eh_exp_exact(double x);

/* The ratio of two velocities that lie DB apart. */
double eh_db_ratio(double db);

#endif
