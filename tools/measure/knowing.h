/* What anyone could know. A matcher that is told when each stroke would have come but for that
 * stroke's own error, and how wide that error is, can hardly be beaten by one that has to find it
 * out: where it errs, times alone do not tell. */
#ifndef MEASURE_KNOWING_H
#define MEASURE_KNOWING_H

#include "agree.h"

/* All that may be told. */
struct knowing {
    const struct written *w;
    const struct blows *blows;
    const struct reported *reported;
    const struct player *player;
    const struct kit *kit; /* its own law and its echoes */
};

/* The matching of greatest likelihood that keeps the order, for a straight course without presses;
 * by time alone. MATCHES has the plan's due_count entries. */
void knowing_match(const struct knowing *k, struct eh_match *matches);

/* The same with presses, where time alone says little: it is told the levels' distributions, the
 * gaps and steps of bounces, how many notes a press has and what the pad hides as well. */
void knowing_match_presses(const struct knowing *k, struct eh_match *matches);

/* Whether presses are written in W. */
bool knowing_presses(const struct written *w);

#endif
