/* Some written bars of a judged run, laid out so that the measures take them for a run. */
#ifndef EVENHAND_JUDGE_SLICE_H
#define EVENHAND_JUDGE_SLICE_H

#include "evenhand/judgement.h"

struct slice {
    const struct eh_judgement *whole;
    struct eh_plan plan;       /* its arrays have room for all of the run */
    struct eh_match *matches;  /* owned */
    struct eh_fate *fates;     /* owned; one a hit of the whole take */
    uint32_t *place;           /* owned; where a due stroke of the run stands in the slice */
    struct eh_judgement *part; /* owned; the findings of the bars */
};

/* Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status slice_init(struct slice *out, const struct eh_judgement *whole);

/* Measures the written bars FIRST to LAST, each time that they were played: fills PART. False: no
 * stroke is written there. Errors: EH_NO_MEMORY, by STATUS. */
bool slice_measure(struct slice *slice, int32_t first, int32_t last, enum eh_status *status);

/* An all-zero one is accepted. */
void slice_deinit(struct slice *slice);

#endif
