/* The findings of two judgements of one take, question by question. */
#ifndef EVENHAND_REPORT_TWO_H
#define EVENHAND_REPORT_TWO_H

#include "evenhand/judgement.h"

enum report_likeness {
    REPORT_DIFFERS,      /* another verdict, or a fault in what only one asks */
    REPORT_SAME_VERDICT, /* but other limits or another number */
    REPORT_SAME,
    REPORT_ONE_ONLY /* only one asks, and it is no fault there */
};

struct report_two {
    const struct eh_finding *of[2]; /* NULL: not asked there */
    enum report_likeness like;
    bool same_number; /* value, interval, unit and n */
};

enum { REPORT_TWOS_MAX = 2 * EH_FINDINGS_MAX };

/* Pairs by aspect and hand, accents first, then in FIRST's order, then what SECOND alone has.
 * Returns how many; they point into the judgements. */
size_t report_pair(const struct eh_judgement *first, const struct eh_judgement *second,
                   struct report_two out[REPORT_TWOS_MAX]);

#endif
