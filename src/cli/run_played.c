#include "run_played.h"

#include <stdlib.h>

#include "evenhand/silent.h"

enum eh_status run_played(const struct eh_exercise *exercise, const struct eh_pad *pad,
                          const struct run_asked *asked, struct eh_take *take,
                          struct eh_judge_request *out, struct eh_error *error) {
    *out = (struct eh_judge_request){.no_click = asked->no_click,
                                     .count_off = asked->count_off,
                                     .broken_off = !asked->complete,
                                     .silent = asked->silent,
                                     .silent_count = asked->silent_count};
    return asked->no_click
               ? eh_practice_played_free(exercise, pad, asked->plan, asked->count_off,
                                         asked->complete, take, &out->plan, error)
               : eh_practice_played(exercise, &take->click, asked->plan, take->hits, take->count,
                                    asked->complete, &out->plan, &take->count, error);
}

enum eh_status run_silent(const struct eh_exercise *exercise, const struct eh_run_info *info,
                          bool **out_silent, size_t *out_count, struct eh_error *error) {
    *out_silent = NULL;
    *out_count = 0;
    if (info->silent_bars == NULL || info->silent_bars[0] == '\0' || info->no_click) {
        return EH_OK;
    }
    size_t bars = 0;
    (void)eh_exercise_bars(exercise, &bars);
    *out_count = bars * (size_t)(info->plan.passes > 0 ? info->plan.passes : 1);
    *out_silent = calloc(*out_count, sizeof **out_silent);
    if (*out_silent == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "no memory for the silent bars");
    }
    return eh_silent_parse(info->silent_bars, *out_silent, *out_count, error);
}
