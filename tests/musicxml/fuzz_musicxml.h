#ifndef TESTS_MUSICXML_FUZZ_MUSICXML_H
#define TESTS_MUSICXML_FUZZ_MUSICXML_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Whether the last input was read all the same. */
extern bool fuzz_accepted;

/* The name that libFuzzer calls. Aborts when something does not hold. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#endif
