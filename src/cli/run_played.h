/* What of a run is to be judged: live, from the history, for every command alike. */
#ifndef EVENHAND_CLI_RUN_PLAYED_H
#define EVENHAND_CLI_RUN_PLAYED_H

#include "evenhand/judgement.h"
#include "evenhand/practice.h"

struct run_asked {
    const struct eh_plan_request *plan;
    bool no_click;
    int32_t count_off;
    bool complete; /* the exercise's end was reached */
};

/* Fills OUT and leaves out of TAKE (the pad's hits) what is not to be judged: see
 * eh_practice_played and eh_practice_played_free, whose errors these are. */
EH_MUST_USE enum eh_status run_played(const struct eh_exercise *exercise, const struct eh_pad *pad,
                                      const struct run_asked *asked, struct eh_take *take,
                                      struct eh_judge_request *out, struct eh_error *error);

#endif
