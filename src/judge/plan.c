#include "plan_lay.h"

#include <stdbool.h>
#include <stdlib.h>

/* Usual leads of grace notes, see plan.h. A grace note never comes nearer to the stroke before it
 * than three fifths of the way, so that fast exercises stay playable. */
static const int64_t flam_lead_ns = 25 * EH_NS_PER_MS;
static const int64_t drag_lead_ns = 45 * EH_NS_PER_MS;
static const int64_t first_spacing_ns = EH_NS_PER_S; /* nothing before the first stroke */

int64_t eh_grace_lead_ns(int grace_count, int grace_rank, int64_t spacing_before_ns) {
    const int64_t usual = grace_count > 1 ? drag_lead_ns : flam_lead_ns;
    const int64_t room = spacing_before_ns * 2 / 5 / (grace_count > 0 ? grace_count : 1);
    return (usual < room ? usual : room) * grace_rank;
}

/* Which of the exercise's played bars a request takes: [first, last). */
struct span {
    size_t first, last;
};

static enum eh_status find_span(const struct eh_exercise *exercise,
                                const struct eh_plan_request *request, struct span *out_span,
                                struct eh_error *error) {
    const int bars = eh_exercise_bar_count(exercise);
    const int from = request->first_bar > 0 ? request->first_bar : 1;
    const int to = request->last_bar > 0 ? request->last_bar : bars;
    if (request->first_bar > 0 && request->last_bar > 0 && from > to) {
        return eh_fail(error, EH_OUT_OF_RANGE,
                       "bar %d comes after bar %d; say the earlier one first", from, to);
    }
    if (request->first_bar < 0 || request->last_bar < 0 || from > to || to > bars) {
        return eh_fail(error, EH_OUT_OF_RANGE,
                       "bars %d to %d do not exist: the exercise has bars 1 to %d", from, to, bars);
    }
    size_t count = 0;
    const struct eh_bar *played = eh_exercise_bars(exercise, &count);
    size_t first = 0;
    while (first < count && (played[first].written < from || played[first].written > to)) {
        first++;
    }
    size_t last = first;
    while (last < count && played[last].written >= from && played[last].written <= to) {
        last++;
    }
    *out_span = (struct span){first, last};
    return first < last
               ? EH_OK
               : eh_fail(error, EH_OUT_OF_RANGE, "bars %d to %d are never played", from, to);
}

static void lay_bars(struct eh_plan *plan, const struct span *span,
                     const struct eh_plan_request *request, const struct eh_tempo_map *click,
                     eh_ticks start) {
    const struct eh_bar *played = eh_exercise_bars(plan->exercise, NULL);
    const eh_ticks origin = played[span->first].at;
    const eh_ticks length = played[span->last - 1].at + played[span->last - 1].length - origin;
    size_t n = 0;
    for (int32_t pass = 0; pass < plan->passes; pass++) {
        const eh_ticks offset = pass * (length + request->gap);
        for (size_t i = span->first; i < span->last; i++) {
            struct eh_plan_bar *bar = &plan->bars[n++];
            bar->at = played[i].at - origin + offset;
            bar->end = bar->at + played[i].length;
            bar->at_ns = eh_tempo_map_ns(click, start + bar->at);
            bar->end_ns = eh_tempo_map_ns(click, start + bar->end);
            bar->written = played[i].written;
            bar->pass = pass;
            bar->beats = played[i].beats;
            bar->unit = played[i].unit;
        }
    }
    plan->length = plan->passes * length + (plan->passes - 1) * request->gap;
    plan->start_ns = eh_tempo_map_ns(click, start);
    plan->end_ns = eh_tempo_map_ns(click, start + plan->length);
}

static void lay_strokes(struct eh_plan *plan, const struct span *span,
                        const struct eh_plan_request *request, const struct eh_tempo_map *click,
                        eh_ticks start) {
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(plan->exercise, &count);
    const struct eh_bar *played = eh_exercise_bars(plan->exercise, NULL);
    const eh_ticks origin = played[span->first].at;
    const eh_ticks length = played[span->last - 1].at + played[span->last - 1].length - origin;
    const size_t span_bars = span->last - span->first;
    size_t n = 0;
    for (int32_t pass = 0; pass < plan->passes; pass++) {
        const eh_ticks offset = pass * (length + request->gap) - origin;
        for (size_t i = 0; i < count; i++) {
            const size_t bar = (size_t)strokes[i].played_bar;
            if (bar < span->first || bar >= span->last) {
                continue;
            }
            struct eh_due *due = &plan->due[n++];
            due->at = strokes[i].at + offset;
            due->at_ns = eh_tempo_map_ns(click, start + due->at);
            due->stroke = (uint32_t)i;
            due->bar = (uint32_t)((size_t)pass * span_bars + bar - span->first);
        }
    }
    plan->due_count = n;
}

static size_t count_strokes(const struct eh_exercise *exercise, const struct span *span) {
    size_t count = 0;
    size_t inside = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    for (size_t i = 0; i < count; i++) {
        const size_t bar = (size_t)strokes[i].played_bar;
        inside += bar >= span->first && bar < span->last;
    }
    return inside;
}

static void index_bars(struct eh_plan *plan) {
    size_t due = 0;
    for (size_t i = 0; i < plan->bar_count; i++) {
        plan->bars[i].first_due = (uint32_t)due;
        while (due < plan->due_count && plan->due[due].bar == i) {
            due++;
        }
        plan->bars[i].due_count = (uint32_t)due - plan->bars[i].first_due;
    }
}

static bool is_grace(const struct eh_plan *plan, size_t due) {
    return eh_plan_stroke(plan, due)->kind == EH_KIND_GRACE;
}

/* Spacing between main strokes; a plan of one stroke has the first spacing. */
static void space_mains(struct eh_plan *plan) {
    int64_t before = first_spacing_ns;
    size_t last_main = plan->due_count;
    for (size_t i = 0; i < plan->due_count; i++) {
        if (is_grace(plan, i)) {
            continue;
        }
        struct eh_due *due = &plan->due[i];
        if (last_main < plan->due_count) {
            before = due->at_ns - plan->due[last_main].at_ns;
            if (before < plan->due[last_main].spacing_ns) {
                plan->due[last_main].spacing_ns = before;
            }
        }
        due->spacing_ns = before;
        due->main = (uint32_t)i;
        plan->mains[plan->main_count++] = (uint32_t)i;
        last_main = i;
    }
}

/* Moves grace notes ahead of their main strokes. */
static void lead_graces(struct eh_plan *plan) {
    int64_t last_main_ns = INT64_MIN;
    size_t i = 0;
    while (i < plan->due_count) {
        size_t main = i;
        while (main + 1 < plan->due_count && is_grace(plan, main)) {
            main++;
        }
        const int64_t before =
            last_main_ns == INT64_MIN ? first_spacing_ns : plan->due[main].at_ns - last_main_ns;
        const int graces = (int)(main - i);
        for (size_t g = i; g < main; g++) {
            plan->due[g].main = (uint32_t)main;
            plan->due[g].spacing_ns = plan->due[main].spacing_ns;
            plan->due[g].at_ns =
                plan->due[main].at_ns - eh_grace_lead_ns(graces, (int)(main - g), before);
        }
        last_main_ns = plan->due[main].at_ns;
        i = main + 1;
    }
}

enum eh_status plan_space(struct eh_plan *plan) {
    plan->mains = calloc(plan->due_count + 1, sizeof *plan->mains);
    if (plan->mains == NULL) {
        return EH_NO_MEMORY;
    }
    space_mains(plan);
    lead_graces(plan);
    return EH_OK;
}

enum eh_status eh_plan_init(struct eh_plan *out_plan, const struct eh_exercise *exercise,
                            const struct eh_plan_request *request, const struct eh_tempo_map *click,
                            eh_ticks start, struct eh_error *error) {
    *out_plan =
        (struct eh_plan){.exercise = exercise, .passes = request->passes > 0 ? request->passes : 1};
    struct span span = {0, 0};
    const enum eh_status status = find_span(exercise, request, &span, error);
    if (status != EH_OK) {
        return status;
    }
    const size_t strokes = count_strokes(exercise, &span);
    if (strokes == 0) {
        return eh_fail(error, EH_EMPTY, "there is no stroke in the bars asked for");
    }
    const size_t passes = (size_t)out_plan->passes;
    out_plan->bar_count = (span.last - span.first) * passes;
    out_plan->bars = calloc(out_plan->bar_count + 1, sizeof *out_plan->bars);
    out_plan->due = calloc(strokes * passes, sizeof *out_plan->due);
    if (out_plan->bars == NULL || out_plan->due == NULL) {
        eh_plan_deinit(out_plan);
        return eh_fail(error, EH_NO_MEMORY, "no memory for a plan of %zu strokes",
                       strokes * passes);
    }
    lay_bars(out_plan, &span, request, click, start);
    lay_strokes(out_plan, &span, request, click, start);
    index_bars(out_plan);
    if (plan_space(out_plan) != EH_OK) {
        eh_plan_deinit(out_plan);
        return eh_fail(error, EH_NO_MEMORY, "no memory for a plan of %zu strokes",
                       strokes * passes);
    }
    return EH_OK;
}

void eh_plan_deinit(struct eh_plan *plan) {
    free(plan->due);
    free(plan->mains);
    free(plan->bars);
    *plan = (struct eh_plan){0};
}
