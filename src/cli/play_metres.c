#include "play_metres.h"

static struct eh_metre_change metre_of(const struct eh_plan_bar *bar, eh_ticks at) {
    return (struct eh_metre_change){.at = at, .beats = bar->beats, .unit = bar->unit};
}

/* A bar line that does not follow from the metre before it: after another metre, a short bar, or a
 * count-in. */
static bool needs_metre(const struct eh_plan_bar *before, const struct eh_plan_bar *bar) {
    return before->beats != bar->beats || before->unit != bar->unit || before->pass != bar->pass ||
           before->end - before->at != eh_metre_bar(metre_of(before, 0));
}

enum eh_status play_metres_lay(struct eh_take *out_take, const struct eh_practice *practice,
                               double bpm) {
    const struct eh_plan_bar *bars = practice->plan.bars;
    enum eh_status status =
        eh_take_init(out_take, "this run", metre_of(&bars[0], 0), 0, eh_ns_per_quarter(bpm));
    for (size_t i = 1; i < practice->plan.bar_count && status == EH_OK; i++) {
        if (bars[i].pass != bars[i - 1].pass) {
            status = eh_take_add_metre(out_take, metre_of(&bars[i], bars[i - 1].end));
        }
        if (status == EH_OK && needs_metre(&bars[i - 1], &bars[i])) {
            status = eh_take_add_metre(out_take, metre_of(&bars[i], bars[i].at));
        }
    }
    if (status != EH_OK) {
        eh_take_deinit(out_take);
    }
    return status;
}
