/* What of a run was played, from its hits. */
#include "evenhand/practice.h"

/* How many strokes were reached: all up to the one that the last hit may have been. */
static size_t count_reached(const struct eh_plan *plan, const struct eh_hit *hits, size_t count) {
    size_t reached = 0;
    while (count > 0 && reached < plan->due_count &&
           plan->due[reached].at_ns - plan->due[reached].spacing_ns / 2 <= hits[count - 1].at_ns) {
        reached++;
    }
    return reached;
}

/* Whether every written bar of the first pass comes once, in rising order. */
static bool plays_bars_once(const struct eh_plan *plan) {
    for (size_t i = 1; i < plan->bar_count && plan->bars[i].pass == 0; i++) {
        if (plan->bars[i].written <= plan->bars[i - 1].written) {
            return false;
        }
    }
    return true;
}

/* One pass: the bars that were played whole, at least the first that has strokes. */
static int32_t last_whole_bar(const struct eh_plan *plan, size_t reached) {
    int32_t written = plan->bars[plan->due[0].bar].written;
    for (size_t i = 0; i < plan->bar_count && plan->bars[i].pass == 0; i++) {
        const struct eh_plan_bar *bar = &plan->bars[i];
        if (bar->due_count > 0 && bar->first_due + bar->due_count <= reached) {
            written = bar->written;
        }
    }
    return written;
}

/* Several passes: those that were played whole, and the last one if half of it was. */
static int32_t whole_passes(const struct eh_plan *plan, size_t reached) {
    const size_t strokes = plan->due_count / (size_t)plan->passes;
    const size_t whole = reached / strokes;
    return (int32_t)(whole + (reached % strokes >= (strokes + 1) / 2));
}

/* Hits before stroke DUE of the plan: what comes later belongs to what is not judged. */
static size_t count_before(const struct eh_plan *plan, size_t due, const struct eh_hit *hits,
                           size_t count) {
    if (due >= plan->due_count) {
        return count;
    }
    const struct eh_due *first = &plan->due[due];
    while (count > 0 && hits[count - 1].at_ns >= first->at_ns - first->spacing_ns / 2) {
        count--;
    }
    return count;
}

static size_t strokes_to_bar(const struct eh_plan *plan, int32_t written) {
    size_t strokes = 0;
    for (size_t i = 0; i < plan->bar_count && plan->bars[i].pass == 0; i++) {
        strokes += plan->bars[i].written <= written ? plan->bars[i].due_count : 0;
    }
    return strokes;
}

/* Returns how many of the plan's strokes are left. */
static size_t cut(const struct eh_plan *plan, size_t reached, struct eh_plan_request *played) {
    const int32_t passes = whole_passes(plan, reached);
    const size_t strokes = plan->due_count / (size_t)plan->passes;
    const bool first_only = reached < strokes;
    played->passes = passes > 0 ? passes : 1;
    if (first_only && plays_bars_once(plan)) {
        played->passes = 1;
        played->last_bar = last_whole_bar(plan, reached);
        return strokes_to_bar(plan, played->last_bar);
    }
    return strokes * (size_t)played->passes;
}

enum eh_status eh_practice_played(const struct eh_exercise *exercise,
                                  const struct eh_tempo_map *click,
                                  const struct eh_plan_request *asked, const struct eh_hit *hits,
                                  size_t count, bool complete, struct eh_plan_request *out_played,
                                  size_t *out_hits, struct eh_error *error) {
    *out_played = *asked;
    *out_hits = count;
    struct eh_plan plan = {0};
    const enum eh_status status = eh_plan_init(&plan, exercise, asked, click, 0, error);
    const size_t reached = status == EH_OK ? count_reached(&plan, hits, count) : 0;
    if (!complete && reached > 0 && reached < plan.due_count) {
        *out_hits = count_before(&plan, cut(&plan, reached, out_played), hits, count);
    }
    eh_plan_deinit(&plan);
    return status;
}
