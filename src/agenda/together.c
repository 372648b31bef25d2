#include "together.h"

#include "evenhand/pool.h"

static bool same_turn(const struct eh_agenda_run *a, const struct eh_agenda_run *b) {
    return a->piece == b->piece && a->day == b->day && a->bpm == b->bpm &&
           a->first_bar == b->first_bar && a->last_bar == b->last_bar && a->no_click == b->no_click;
}

enum eh_standing together_stands(const struct eh_agenda_input *input,
                                 const struct eh_agenda_run *run, const struct question *question) {
    struct eh_pool pool = {.passes = 0};
    for (size_t i = 0; i < input->run_count; i++) {
        const struct eh_agenda_run *other = &input->runs[i];
        const struct eh_finding *f =
            same_turn(run, other) ? evidence_measured(other, question) : NULL;
        if (f != NULL) {
            (void)eh_pool_add(&pool, f, other->level_scale_sd);
        }
    }
    return pool.passes == 0 ? EH_STANDS_FEW
                            : eh_pool_stands(&pool, (enum eh_aspect)question->aspect,
                                             input->pieces[run->piece].least_n);
}
