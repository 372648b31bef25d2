/* What of a run is to be judged: live, from the history, for every command alike. */
#ifndef EVENHAND_CLI_RUN_PLAYED_H
#define EVENHAND_CLI_RUN_PLAYED_H

#include "evenhand/judgement.h"
#include "evenhand/practice.h"
#include "evenhand/store.h"

struct run_asked {
    const struct eh_plan_request *plan;
    bool no_click;
    int32_t count_off;
    bool complete;      /* the exercise's end was reached */
    const bool *silent; /* see eh_judge_request; NULL: none */
    size_t silent_count;
};

/* Fills OUT and leaves out of TAKE (the pad's hits) what is not to be judged: see
 * eh_practice_played and eh_practice_played_free, whose errors these are. */
EH_MUST_USE enum eh_status run_played(const struct eh_exercise *exercise, const struct eh_pad *pad,
                                      const struct run_asked *asked, struct eh_take *take,
                                      struct eh_judge_request *out, struct eh_error *error);

/* The silent bars that are kept with a run of EXERCISE (see eh_silent_parse, whose errors these
 * are); nothing where there are none. The caller frees OUT_SILENT. */
EH_MUST_USE enum eh_status run_silent(const struct eh_exercise *exercise,
                                      const struct eh_run_info *info, bool **out_silent,
                                      size_t *out_count, struct eh_error *error);

#endif
