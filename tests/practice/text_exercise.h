/* Exercises for the tests, from their text. */
#ifndef TESTS_TEXT_EXERCISE_H
#define TESTS_TEXT_EXERCISE_H

#include "evenhand/exercise.h"
#include "evenhand/plan.h"

/* BARS as in our text format, 4/4 unless METRE says otherwise (NULL = 4/4). Ends the test when it
 * is wrong. */
struct eh_exercise *text_exercise(const char *metre, const char *bars);

/* A plan of it at BPM, PASSES times with GAP between them, tick 0 at 0 ns. */
void text_plan(struct eh_plan *out_plan, const struct eh_exercise *exercise, double bpm, int passes,
               eh_ticks gap);

#endif
