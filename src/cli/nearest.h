/* Which of many names was meant: the few that are nearest to what was typed. */
#ifndef EVENHAND_CLI_NEAREST_H
#define EVENHAND_CLI_NEAREST_H

#include <stddef.h>

#include "evenhand/text.h"

enum { NEAREST_MOST = 3, NEAREST_NAME = 64 };

struct nearest {
    const char *wanted;
    size_t count;
    char names[NEAREST_MOST][NEAREST_NAME]; /* nearest first */
    int distances[NEAREST_MOST];
};

/* WANTED must outlive it. */
void nearest_init(struct nearest *nearest, const char *wanted);

/* Keeps NAME (a copy, cut at NEAREST_NAME - 1) if it is among the nearest so far. A name counts as
 * near when a third of its letters, and one more, would have to be changed at most, or when it
 * begins with or contains what was typed. */
void nearest_offer(struct nearest *nearest, const char *name);

/* Adds '; did you mean "a", "b" or "c"?' or nothing. */
void nearest_add_to(const struct nearest *nearest, struct eh_text *text);

#endif
