/* Random exercises as text: playable ones, and any exercise with its hands swapped. */
#ifndef TESTS_PROPERTIES_SHEET_H
#define TESTS_PROPERTIES_SHEET_H

#include <stdbool.h>

#include "chance.h"
#include "evenhand/exercise.h"

/* An exercise such as people practise: one to three figures of a beat, over and over, in two to
 * eight bars, with or without marks, hairpins, repeats and rests. The caller frees it. */
struct eh_exercise *sheet_playable(struct chance *chance);

/* The same exercise for the other hand. The caller frees it. */
struct eh_exercise *sheet_mirrored(const struct eh_exercise *exercise);

#endif
