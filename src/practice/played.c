/* What of a run was played, from its hits. */
#include "evenhand/practice.h"

#include <stdlib.h>
#include <string.h>

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

/* ---- Without a click ---- */

/* The strokes up to the furthest that was found. */
static size_t count_found(const uint32_t *due, size_t count) {
    size_t reached = 0;
    for (size_t i = 0; i < count; i++) {
        if (due[i] != EH_FREE_NO_DUE && due[i] + 1 > reached) {
            reached = (size_t)due[i] + 1;
        }
    }
    return reached;
}

/* Hits before the first that is stroke LEFT or a later one: what comes in the second half of the
 * time before it is taken for its grace notes, and what follows it belongs to what is not judged.
 */
static size_t count_until(const struct eh_take *take, const uint32_t *due, size_t left) {
    int64_t before_ns = take->hits[0].at_ns;
    for (size_t i = 0; i < take->count; i++) {
        if (due[i] == EH_FREE_NO_DUE) {
            continue;
        }
        if (due[i] >= left) {
            const int64_t middle_ns = before_ns + (take->hits[i].at_ns - before_ns) / 2;
            while (i > 0 && take->hits[i - 1].at_ns > middle_ns) {
                i--;
            }
            return i;
        }
        before_ns = take->hits[i].at_ns;
    }
    return take->count;
}

/* Taps along with the count-in. */
static void drop_count_in(struct eh_take *take, const struct eh_plan *plan) {
    const struct eh_plan_bar *bar = &plan->bars[0];
    const eh_ticks beat = eh_beat_ticks(bar->beats, bar->unit);
    const int64_t from_ns = plan->start_ns - eh_tempo_map_ns(&take->click, beat) / 2 +
                            eh_tempo_map_ns(&take->click, 0) / 2;
    size_t n = 0;
    while (n < take->count && take->hits[n].at_ns < from_ns) {
        n++;
    }
    take->count -= n;
    memmove(take->hits, take->hits + n, take->count * sizeof *take->hits);
}

static enum eh_status cut_free(const struct eh_plan *plan, const struct eh_pad *pad,
                               int32_t count_off, struct eh_take *take,
                               struct eh_plan_request *played) {
    uint32_t *due = malloc(take->count * sizeof *due);
    if (due == NULL) {
        return EH_NO_MEMORY;
    }
    const enum eh_status status = eh_free_reach(plan, pad, count_off, take->hits, take->count, due);
    const size_t reached = status == EH_OK ? count_found(due, take->count) : 0;
    if (reached > 0 && reached < plan->due_count) {
        take->count = count_until(take, due, cut(plan, reached, played));
    }
    free(due);
    return status;
}

enum eh_status eh_practice_played_free(const struct eh_exercise *exercise, const struct eh_pad *pad,
                                       const struct eh_plan_request *asked, int32_t count_off,
                                       bool complete, struct eh_take *take,
                                       struct eh_plan_request *out_played, struct eh_error *error) {
    *out_played = *asked;
    struct eh_plan plan = {0};
    enum eh_status status = eh_plan_init(&plan, exercise, asked, &take->click, 0, error);
    if (status == EH_OK) {
        drop_count_in(take, &plan);
        status = complete || take->count == 0 ? EH_OK
                                              : cut_free(&plan, pad, count_off, take, out_played);
    }
    eh_plan_deinit(&plan);
    return status == EH_NO_MEMORY ? eh_fail(error, status, "no memory to judge a run") : status;
}
