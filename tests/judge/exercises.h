/* Reads a shipped exercise for a test. */
#ifndef TESTS_JUDGE_EXERCISES_H
#define TESTS_JUDGE_EXERCISES_H

#include "evenhand/exercise.h"
#include "evenhand/plan.h"

/* NULL with a word on stderr when it cannot be read. NAME without ending. */
struct eh_exercise *read_exercise(const char *name);
struct eh_exercise *parse_exercise(const char *text);

/* The exercise once at BPM, starting at START_MS. Aborts when that fails. */
struct eh_plan plan_at(const struct eh_exercise *exercise, double bpm, double start_ms, int passes);

extern const char *const shipped_exercises[]; /* then NULL */

#endif
