#include "run_played.h"

enum eh_status run_played(const struct eh_exercise *exercise, const struct eh_pad *pad,
                          const struct run_asked *asked, struct eh_take *take,
                          struct eh_judge_request *out, struct eh_error *error) {
    *out = (struct eh_judge_request){
        .no_click = asked->no_click, .count_off = asked->count_off, .broken_off = !asked->complete};
    return asked->no_click
               ? eh_practice_played_free(exercise, pad, asked->plan, asked->count_off,
                                         asked->complete, take, &out->plan, error)
               : eh_practice_played(exercise, &take->click, asked->plan, take->hits, take->count,
                                    asked->complete, &out->plan, &take->count, error);
}
