/* A reading as lines that a test can hold against what a person typed. */
#ifndef TESTS_READING_DESCRIBE_H
#define TESTS_READING_DESCRIBE_H

#include "evenhand/reading.h"
#include "evenhand/text.h"

/* Reads a text of our format; ends the test when it is wrong. Give it back with
 * eh_reading_deinit. */
struct eh_reading read_or_fail(const char *text);

/* The counts in beats, spaces between, | between bars; (2) for what is not struck. */
void describe_counts(const struct eh_reading *reading, struct eh_text *out);

/* The same in eighths, where a bar is counted in dotted beats. */
void describe_eighths(const struct eh_reading *reading, struct eh_text *out);

/* Grace notes, hand, strokes where there are several, z, accent: "lR>", "R2", "Rz", "-", "_", ".".
 */
void describe_hands(const struct eh_reading *reading, struct eh_text *out);

#endif
