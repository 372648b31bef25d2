/* Any exercise that the rules allow: odd metres, nested groups, repeats with endings, hairpins,
 * up to seven grace notes, rolls and presses of every length. Nobody plays these; they are for
 * tests of what must hold whatever is written. */
#ifndef TESTS_SCORE_RANDOM_EXERCISE_H
#define TESTS_SCORE_RANDOM_EXERCISE_H

#include <stdint.h>

#include "evenhand/exercise.h"

/* The same SEED gives the same exercise everywhere. The caller frees it. Not for several threads.
 */
struct eh_exercise *random_exercise(uint64_t seed);

#endif
