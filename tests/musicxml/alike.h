/* Holds two exercises against each other: what is played, not how it was written. */
#ifndef TESTS_MUSICXML_ALIKE_H
#define TESTS_MUSICXML_ALIKE_H

#include "evenhand/exercise.h"
#include "evenhand/musicxml.h"

/* NAME is for messages. Fails the test where bars, strokes, hairpins, words or tempi differ. */
void expect_alike(const char *name, const struct eh_exercise *a, const struct eh_exercise *b);

/* Reads BYTES, or fails the test with the reader's words. REMARKS may be NULL. */
struct eh_exercise *read_or_fail(const char *name, const void *bytes, size_t length,
                                 struct eh_musicxml_remarks *remarks);

#endif
