/* Holding two judgements against each other. Each function appends the first difference to WHY and
 * returns whether there was none. */
#ifndef TESTS_PROPERTIES_COMPARE_H
#define TESTS_PROPERTIES_COMPARE_H

#include "evenhand/judgement.h"
#include "evenhand/text.h"

/* Two documents, byte by byte; shows the first line that differs. */
bool compare_bytes(const char *a, const char *b, struct eh_text *why);

/* Which hit was which stroke; shifts of the place too. */
bool compare_matches(const struct eh_match *a, const struct eh_match *b, size_t due_count,
                     struct eh_text *why);

/* What became of the hits. */
bool compare_fates(const struct eh_fate *a, const struct eh_fate *b, size_t hit_count,
                   struct eh_text *why);

/* Every finding: verdict, direction, fault, bars, n and words alike, numbers within NEAR of each
 * other (relative to 1 or to the number, whichever is larger). */
bool compare_findings(const struct eh_judgement *a, const struct eh_judgement *b, double near,
                      struct eh_text *why);

/* Every finding: verdict, direction and fault alike. */
bool compare_verdicts(const struct eh_judgement *a, const struct eh_judgement *b,
                      struct eh_text *why);

/* Two numbers, likewise; both may be NAN. */
bool compare_near(double a, double b, double near);

#endif
