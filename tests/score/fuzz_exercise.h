#ifndef TESTS_SCORE_FUZZ_EXERCISE_H
#define TESTS_SCORE_FUZZ_EXERCISE_H

#include <stddef.h>
#include <stdint.h>

/* The name that libFuzzer calls. Aborts when something does not hold. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#endif
