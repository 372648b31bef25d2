/* What the practice reports, in order: each event once. */
#include "evenhand/practice.h"

#include "heard.h"

static size_t pass_first_bar(const struct eh_plan *plan, int32_t pass) {
    return plan->bar_count / (size_t)plan->passes * (size_t)pass;
}

/* The next bar in the order of the run, once its strokes are settled and it has begun (a bar of
 * rests: once it is past). */
static bool next_bar(struct eh_practice *practice, struct eh_practice_event *out_event) {
    const struct eh_plan *plan = &practice->plan;
    if (practice->next_bar >= plan->bar_count) {
        return false;
    }
    const struct eh_plan_bar *bar = &plan->bars[practice->next_bar];
    const bool settled = bar->first_due + bar->due_count <= practice->settled_due;
    const bool reached =
        bar->due_count > 0 ? practice->now_ns > bar->at_ns : practice->now_ns >= bar->end_ns;
    if (!settled || !reached || bar->pass >= practice->begun) {
        return false;
    }
    *out_event = (struct eh_practice_event){
        .kind = EH_EVENT_BAR_SETTLED, .pass = bar->pass, .bar = practice->next_bar};
    practice->next_bar++;
    return true;
}

static bool next_count_in(struct eh_practice *practice, struct eh_practice_event *out_event) {
    const struct eh_plan *plan = &practice->plan;
    if (practice->counted >= plan->passes || eh_practice_is_over(practice)) {
        return false;
    }
    const struct eh_plan_bar *bar = &plan->bars[pass_first_bar(plan, practice->counted)];
    if (practice->now_ns < eh_tempo_map_ns(&practice->click, bar->at - practice->count_in)) {
        return false;
    }
    *out_event = (struct eh_practice_event){.kind = EH_EVENT_COUNT_IN, .pass = practice->counted++};
    return true;
}

static bool next_begin(struct eh_practice *practice, struct eh_practice_event *out_event) {
    const struct eh_plan *plan = &practice->plan;
    if (practice->begun >= practice->counted || eh_practice_is_over(practice) ||
        practice->now_ns < plan->bars[pass_first_bar(plan, practice->begun)].at_ns) {
        return false;
    }
    *out_event =
        (struct eh_practice_event){.kind = EH_EVENT_PASS_BEGINS, .pass = practice->begun++};
    return true;
}

/* A pass is over when all its bars were reported and its last bar line is past. */
static bool next_over(struct eh_practice *practice, struct eh_practice_event *out_event) {
    const struct eh_plan *plan = &practice->plan;
    if (practice->over >= plan->passes) {
        return false;
    }
    const size_t end = pass_first_bar(plan, practice->over + 1);
    if (practice->next_bar < end || practice->now_ns < plan->bars[end - 1].end_ns) {
        return false;
    }
    *out_event = (struct eh_practice_event){.kind = EH_EVENT_PASS_OVER, .pass = practice->over++};
    return true;
}

static bool next_event(struct eh_practice *practice, struct eh_practice_event *out_event) {
    return next_bar(practice, out_event) || next_over(practice, out_event) ||
           next_count_in(practice, out_event) || next_begin(practice, out_event);
}

bool eh_practice_next(struct eh_practice *practice, struct eh_practice_event *out_event) {
    if (practice->reported) {
        return false;
    }
    if (practice->no_click ? eh_practice_next_heard(practice, out_event)
                           : next_event(practice, out_event)) {
        return true;
    }
    if (!practice->finished) {
        return false;
    }
    practice->reported = true;
    *out_event = (struct eh_practice_event){
        .kind = EH_EVENT_RUN_OVER, .end = practice->end, .pass = practice->over};
    return true;
}
