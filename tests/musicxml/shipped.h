/* The shipped exercises, and files of the tests. */
#ifndef TESTS_MUSICXML_SHIPPED_H
#define TESTS_MUSICXML_SHIPPED_H

#include "evenhand/exercise.h"
#include "evenhand/text.h"

/* Reads the file at PATH into OUT (emptied before); false: it is not there. */
bool read_whole_file(const char *path, struct eh_text *out);

/* Calls SEE for each exercise below the folder exercises/; returns how many there were. */
int for_each_shipped(void (*see)(const char *path, const struct eh_exercise *exercise));

#endif
