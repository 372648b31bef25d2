/* A take as a written file will say it: everything in ticks from the file's beginning, tempos in
 * whole microseconds, each hit as a note that begins and one that ends. */
#ifndef EVENHAND_SMF_PLAN_H
#define EVENHAND_SMF_PLAN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/smf.h"

struct smf_stroke {
    int64_t tick;
    size_t order; /* among equal ticks */
    uint16_t velocity;
    uint8_t note;
    bool begins;
};

struct smf_plan {
    struct eh_tempo_map click; /* 0 ns at tick 0 */
    struct eh_metre_change *metres;
    size_t metre_count;
    struct smf_stroke *strokes;
    size_t stroke_count;
};

/* Errors: those of eh_smf_write. Deinit in any case. */
enum eh_status smf_plan_init(struct smf_plan *plan, const struct eh_take *take,
                             struct eh_error *error);

void smf_plan_deinit(struct smf_plan *plan);

#endif
