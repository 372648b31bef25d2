/* How the demo player goes through the plan: as written, or stopping, skipping, repeating,
 * rushing. */
#include "demo_row.h"

#include <math.h>
#include <stdlib.h>

#include "evenhand/practice.h"

/* A pass as the player sees it. */
struct pass {
    size_t first_bar, last_bar; /* last_bar is one past the end */
    size_t first_due, last_due;
    int64_t at_ns, end_ns;
    eh_ticks at;
};

static struct pass find_pass(const struct eh_plan *plan, size_t first_bar) {
    struct pass pass = {.first_bar = first_bar, .last_bar = first_bar};
    while (pass.last_bar < plan->bar_count &&
           plan->bars[pass.last_bar].pass == plan->bars[first_bar].pass) {
        pass.last_bar++;
    }
    const struct eh_plan_bar *last = &plan->bars[pass.last_bar - 1];
    pass.first_due = plan->bars[first_bar].first_due;
    pass.last_due = last->first_due + last->due_count;
    pass.at = plan->bars[first_bar].at;
    pass.at_ns = plan->bars[first_bar].at_ns;
    pass.end_ns = last->end_ns;
    return pass;
}

/* The fault of course that the player has. */
static const struct eh_demo_fault *course_fault(const struct eh_demo *demo) {
    static const enum eh_demo_fault_kind kinds[] = {EH_DEMO_STOP, EH_DEMO_SKIP, EH_DEMO_REPEAT,
                                                    EH_DEMO_WAIT};
    const struct eh_demo_fault *fault = NULL;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0] && fault == NULL; i++) {
        fault = eh_demo_fault_of(demo, kinds[i]);
    }
    return fault;
}

/* Where it happens: at the bar line that it names, else at one in the middle, or the middle beat of
 * a single bar. */
static const struct eh_plan_bar *middle_bar(const struct eh_demo *demo, const struct pass *pass) {
    const struct eh_demo_fault *fault = course_fault(demo);
    const struct eh_plan_bar *bars = demo->plan->bars;
    for (size_t i = pass->first_bar; fault != NULL && i < pass->last_bar; i++) {
        if (fault->first_bar > 0 && eh_demo_fault_in_bar(fault, bars[i].written)) {
            return &bars[i];
        }
    }
    return &bars[pass->first_bar + (pass->last_bar - pass->first_bar) / 2];
}

static int64_t middle_ns(const struct eh_demo *demo, const struct pass *pass) {
    const struct eh_plan_bar *bar = middle_bar(demo, pass);
    if (pass->last_bar - pass->first_bar > 1) {
        return bar->at_ns;
    }
    const eh_ticks beat = eh_beat_ticks(bar->beats, bar->unit);
    const eh_ticks half = (bar->end - bar->at) / beat / 2 * beat;
    return bar->at_ns + (int64_t)((double)(bar->end_ns - bar->at_ns) * (double)half /
                                  (double)(bar->end - bar->at));
}

/* BEATS of the middle bar; 0 means a bar, of a single-bar pass a half. */
static int64_t stretch_ns(const struct eh_demo *demo, const struct pass *pass, double beats) {
    const struct eh_plan_bar *bar = middle_bar(demo, pass);
    const double bar_ns = (double)(bar->end_ns - bar->at_ns);
    if (beats <= 0.0) {
        const bool single = pass->last_bar - pass->first_bar == 1;
        return single ? middle_ns(demo, pass) - pass->at_ns : bar->end_ns - bar->at_ns;
    }
    const double beat_ns =
        bar_ns * (double)eh_beat_ticks(bar->beats, bar->unit) / (double)(bar->end - bar->at);
    return (int64_t)(beats * beat_ns);
}

/* A player without a click keeps his tempo from pass to pass; with one he is counted in anew. */
static struct pass tempo_span(const struct eh_demo *demo, const struct pass *pass) {
    struct pass span = *pass;
    if (demo->request.no_click) {
        span.at_ns = demo->plan->start_ns;
        span.end_ns = demo->plan->end_ns;
    }
    return span;
}

static void add_part(struct eh_row *row, const struct eh_demo *demo, const struct pass *pass,
                     size_t due, int64_t shift_ns) {
    const struct eh_plan *plan = demo->plan;
    const struct pass span = tempo_span(demo, pass);
    const double at_ns = (double)(plan->due[due].at_ns + shift_ns);
    const double plan_ns =
        (double)span.at_ns + eh_demo_bend(demo, span.at_ns, at_ns - (double)span.at_ns,
                                          (double)(span.end_ns - span.at_ns));
    const bool more = pass->last_bar < plan->bar_count && !demo->request.no_click;
    if (more &&
        (at_ns >= (double)pass->end_ns || plan_ns >= (double)plan->bars[pass->last_bar].at_ns)) {
        return; /* the next count-in has begun: the player gives up */
    }
    row->parts[row->count++] = (struct eh_part){.due = (uint32_t)due, .plan_ns = plan_ns};
}

/* Adds the strokes of a pass that are due from FROM_NS to before TO_NS. */
static void add_stretch(struct eh_row *row, const struct eh_demo *demo, const struct pass *pass,
                        int64_t from_ns, int64_t to_ns, int64_t shift_ns) {
    for (size_t i = pass->first_due; i < pass->last_due; i++) {
        const int64_t at_ns = demo->plan->due[i].at_ns;
        if (!eh_due_is_grace(demo->plan, i) && at_ns >= from_ns && at_ns < to_ns) {
            add_part(row, demo, pass, i, shift_ns);
        }
    }
}

static void add_pass(struct eh_row *row, const struct eh_demo *demo, const struct pass *pass) {
    const double start = eh_demo_size(demo, EH_DEMO_LATE_START);
    const double stop = eh_demo_size(demo, EH_DEMO_STOP);
    const double skip = eh_demo_size(demo, EH_DEMO_SKIP);
    const double again = eh_demo_size(demo, EH_DEMO_REPEAT);
    const double wait = eh_demo_size(demo, EH_DEMO_WAIT);
    const int64_t middle = middle_ns(demo, pass);
    const int64_t end = INT64_MAX;
    if (!isnan(start)) {
        add_stretch(row, demo, pass, pass->at_ns + stretch_ns(demo, pass, start), end, 0);
    } else if (!isnan(stop) || !isnan(skip)) {
        const int64_t gap = stretch_ns(demo, pass, isnan(stop) ? skip : stop);
        add_stretch(row, demo, pass, INT64_MIN, middle, 0);
        add_stretch(row, demo, pass, middle + gap, end, isnan(stop) ? -gap : 0);
    } else if (!isnan(again)) {
        const int64_t wanted = stretch_ns(demo, pass, again);
        const int64_t most = middle - pass->at_ns;
        const int64_t stretch = wanted < most ? wanted : most;
        add_stretch(row, demo, pass, INT64_MIN, middle, 0);
        add_stretch(row, demo, pass, middle - stretch, end, stretch);
    } else if (!isnan(wait)) {
        add_stretch(row, demo, pass, INT64_MIN, middle, 0);
        add_stretch(row, demo, pass, middle, end, stretch_ns(demo, pass, wait));
    } else {
        add_stretch(row, demo, pass, INT64_MIN, end, 0);
    }
}

enum eh_status eh_row_lay(struct eh_row *row, const struct eh_demo *demo) {
    row->capacity = demo->plan->due_count * 2; /* a repeat plays a stroke at most twice */
    row->parts = calloc(row->capacity, sizeof *row->parts);
    if (row->parts == NULL) {
        return EH_NO_MEMORY;
    }
    for (size_t bar = 0; bar < demo->plan->bar_count;) {
        const struct pass pass = find_pass(demo->plan, bar);
        add_pass(row, demo, &pass);
        bar = pass.last_bar;
    }
    return EH_OK;
}

void eh_row_deinit(struct eh_row *row) {
    free(row->parts);
    *row = (struct eh_row){0};
}
