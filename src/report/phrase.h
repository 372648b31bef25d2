/* Findings in a few words. */
#ifndef EVENHAND_REPORT_PHRASE_H
#define EVENHAND_REPORT_PHRASE_H

#include "evenhand/judgement.h"

enum { REPORT_PHRASE = 96 };

struct report_phrase {
    char text[REPORT_PHRASE];
};

/* The verdict in words, without numbers: "left seconds late", "hands matched in level". */
struct report_phrase report_verdict(const struct eh_finding *finding);

/* A number in the finding's unit, as a player reads it: "0.61 of the span", "+14 ms", "3.2 dB",
 * "2 strokes". "not measured" for NAN. */
struct report_phrase report_measure(const struct eh_finding *finding, double value);

/* The same without the unit: "0.61", "+14". */
struct report_phrase report_bare(const struct eh_finding *finding, double value);

/* What would be fine: "0.45 to 0.55", "up to 15.0", "3.0 or more"; "" where there is no limit. */
struct report_phrase report_limit(const struct eh_finding *finding);

#endif
