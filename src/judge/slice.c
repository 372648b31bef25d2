#include "slice.h"

#include <stdlib.h>

#include "evenhand/free_tempo.h"

enum eh_status slice_init(struct slice *out, const struct eh_judgement *whole) {
    const struct eh_plan *plan = &whole->plan;
    *out = (struct slice){.whole = whole, .plan = *plan};
    out->plan.due = calloc(plan->due_count + 1, sizeof *plan->due);
    out->plan.mains = calloc(plan->main_count + 1, sizeof *plan->mains);
    out->plan.bars = calloc(plan->bar_count + 1, sizeof *plan->bars);
    out->matches = calloc(plan->due_count + 1, sizeof *out->matches);
    out->fates = calloc(whole->take->count + 1, sizeof *out->fates);
    out->place = calloc(plan->due_count + 1, sizeof *out->place);
    out->part = calloc(1, sizeof *out->part);
    if (out->plan.due == NULL || out->plan.mains == NULL || out->plan.bars == NULL ||
        out->matches == NULL || out->fates == NULL || out->place == NULL || out->part == NULL) {
        slice_deinit(out);
        return EH_NO_MEMORY;
    }
    return EH_OK;
}

void slice_deinit(struct slice *slice) {
    free(slice->plan.due);
    free(slice->plan.mains);
    free(slice->plan.bars);
    free(slice->matches);
    free(slice->fates);
    free(slice->place);
    free(slice->part);
    *slice = (struct slice){.whole = NULL};
}

static bool is_in(const struct eh_plan_bar *bar, int32_t first, int32_t last) {
    return bar->written >= first && bar->written <= last;
}

/* Each row of bars that follow each other is a pass of its own: trends end where it ends. */
static void lay_bars(struct slice *slice, int32_t first, int32_t last) {
    const struct eh_plan *whole = &slice->whole->plan;
    struct eh_plan *plan = &slice->plan;
    int32_t pass = -1;
    plan->bar_count = 0;
    plan->due_count = 0;
    for (size_t i = 0; i < whole->bar_count; i++) {
        const struct eh_plan_bar *bar = &whole->bars[i];
        if (!is_in(bar, first, last)) {
            continue;
        }
        const bool follows = i > 0 && is_in(bar - 1, first, last) && bar[-1].pass == bar->pass;
        pass += follows ? 0 : 1;
        for (size_t k = bar->first_due; k < (size_t)bar->first_due + bar->due_count; k++) {
            slice->place[k] = (uint32_t)(plan->due_count + k - bar->first_due);
        }
        plan->bars[plan->bar_count] = *bar;
        plan->bars[plan->bar_count].first_due = (uint32_t)plan->due_count;
        plan->bars[plan->bar_count].pass = pass;
        plan->bar_count++;
        plan->due_count += bar->due_count;
    }
    plan->passes = pass + 1;
}

static void lay_strokes(struct slice *slice, int32_t first, int32_t last) {
    const struct eh_plan *whole = &slice->whole->plan;
    struct eh_plan *plan = &slice->plan;
    uint32_t bar = UINT32_MAX;
    plan->main_count = 0;
    for (size_t i = 0; i < whole->bar_count; i++) {
        const struct eh_plan_bar *from = &whole->bars[i];
        if (!is_in(from, first, last)) {
            continue;
        }
        bar++;
        for (size_t k = from->first_due; k < (size_t)from->first_due + from->due_count; k++) {
            const uint32_t at = slice->place[k];
            plan->due[at] = whole->due[k];
            plan->due[at].bar = bar;
            plan->due[at].main = slice->place[whole->due[k].main];
            slice->matches[at] = slice->whole->matches[k];
            if (whole->due[k].main == k) {
                plan->mains[plan->main_count++] = at;
            }
        }
    }
}

static bool falls_in(const struct eh_plan *plan, int64_t at_ns) {
    for (size_t i = 0; i < plan->bar_count; i++) {
        if (at_ns >= plan->bars[i].at_ns && at_ns < plan->bars[i].end_ns) {
            return true;
        }
    }
    return false;
}

/* A hit that belongs to no stroke belongs to the bars when it fell there. */
static void lay_fates(struct slice *slice, int32_t first, int32_t last) {
    const struct eh_judgement *whole = slice->whole;
    for (size_t h = 0; h < whole->take->count; h++) {
        struct eh_fate fate = whole->fates[h];
        const bool owned = fate.kind == EH_FATE_STROKE || fate.kind == EH_FATE_BOUNCE;
        const bool here = owned
                              ? is_in(&whole->plan.bars[whole->plan.due[fate.due].bar], first, last)
                              : falls_in(&slice->plan, whole->take->hits[h].at_ns);
        fate.due = owned && here ? slice->place[fate.due] : fate.due;
        fate.kind = here ? fate.kind : EH_FATE_OUTSIDE;
        slice->fates[h] = fate;
    }
}

bool slice_measure(struct slice *slice, int32_t first, int32_t last, enum eh_status *status) {
    const struct eh_judgement *whole = slice->whole;
    lay_bars(slice, first, last);
    if (slice->plan.due_count == 0) {
        return false;
    }
    lay_strokes(slice, first, last);
    lay_fates(slice, first, last);
    const struct eh_measure_input input = {
        .plan = &slice->plan,
        .hits = whole->take->hits,
        .hit_count = whole->take->count,
        .matches = slice->matches,
        .fates = slice->fates,
        .pad = whole->pad,
        .style = whole->style,
        .resolution_ns = eh_pad_resolution_ns(whole->pad, whole->take->resolution_ns),
        .free_tempo = whole->no_click ? &whole->free_tempo : NULL};
    *status = eh_measure(&input, slice->part);
    return *status == EH_OK;
}
