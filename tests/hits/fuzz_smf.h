#ifndef EVENHAND_TESTS_FUZZ_SMF_H
#define EVENHAND_TESTS_FUZZ_SMF_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The name that libFuzzer calls. Aborts when the reader breaks a promise. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Whether the last input was read, not refused. */
extern bool fuzz_accepted;

#endif
