#include <math.h>
#include <stdlib.h>

#include "course.h"
#include "plan_lay.h"

void course_laid_deinit(struct course_laid *laid) {
    eh_plan_deinit(&laid->plan);
    free(laid->origin);
    free(laid->moved_ns);
    *laid = (struct course_laid){0};
}

struct totals {
    size_t cells, dues;
};

static struct totals totals_of(const struct course_ground *g, const struct course_way *way) {
    struct totals totals = {0};
    for (size_t i = 0; i < way->count; i++) {
        const struct course_stretch *stretch = &way->stretches[i];
        totals.cells += stretch->count;
        for (uint32_t k = 0; k < stretch->count; k++) {
            const struct course_cell *cell = &g->cells[stretch->first_cell + k];
            totals.dues += cell->main_count + cell->graces;
        }
    }
    return totals;
}

/* A way moves strokes by whole beats; what is less than a millisecond is rounding. */
static int64_t moved(int64_t by_ns) {
    return llabs(by_ns) < EH_NS_PER_MS ? 0 : by_ns;
}

/* A main stroke with its grace notes, all at the main stroke's time as yet. */
static void lay_figure(struct course_laid *laid, const struct course_ground *g,
                       const struct course_main *m, int64_t at_ns, double place_ns) {
    for (uint32_t due = m->due - m->graces; due <= m->due; due++) {
        const size_t n = laid->plan.due_count++;
        laid->origin[n] = due;
        laid->moved_ns[n] = moved(at_ns - g->plan->due[m->due].at_ns);
        laid->plan.due[n] = (struct eh_due){.at = g->plan->due[due].at,
                                            .at_ns = at_ns + llround(place_ns),
                                            .stroke = g->plan->due[due].stroke,
                                            .bar = (uint32_t)laid->plan.bar_count - 1};
    }
}

/* PLACES: the player's offset in this beat and in the next. */
static void lay_cell(struct course_laid *laid, const struct course_ground *g, size_t beat,
                     const struct course_cell *cell, bool opens, const double places[2]) {
    struct eh_plan *plan = &laid->plan;
    const double length_ns = g->grid_ns[beat + 1] - g->grid_ns[beat];
    const double scale = cell->length_ns > 0 ? length_ns / (double)cell->length_ns : 1.0;
    if (opens) {
        struct eh_plan_bar *bar = &plan->bars[plan->bar_count++];
        *bar = g->plan->bars[cell->bar];
        bar->at = cell->at;
        bar->at_ns = g->plan->start_ns + llround(g->grid_ns[beat]);
        bar->first_due = (uint32_t)plan->due_count;
        bar->pass = 0;
    }
    for (uint32_t i = 0; i < cell->main_count; i++) {
        const struct course_main *m = &g->mains[cell->first_main + i];
        const double after_ns = m->after_ns * scale;
        const double place_ns = places[0] + (places[1] - places[0]) * after_ns / length_ns;
        lay_figure(laid, g, m, g->plan->start_ns + llround(g->grid_ns[beat] + after_ns), place_ns);
    }
    struct eh_plan_bar *bar = &plan->bars[plan->bar_count - 1];
    bar->end = cell->end;
    bar->end_ns = g->plan->start_ns + llround(g->grid_ns[beat + 1]);
    bar->due_count = (uint32_t)plan->due_count - bar->first_due;
}

enum eh_status course_lay(struct course_laid *out_laid, const struct course_ground *g,
                          const struct course_way *way) {
    const struct totals totals = totals_of(g, way);
    struct eh_plan *plan = &out_laid->plan;
    *out_laid = (struct course_laid){.plan = {.exercise = g->plan->exercise, .passes = 1}};
    plan->due = calloc(totals.dues + 1, sizeof *plan->due);
    plan->bars = calloc(totals.cells + 1, sizeof *plan->bars);
    out_laid->origin = calloc(totals.dues + 1, sizeof *out_laid->origin);
    out_laid->moved_ns = calloc(totals.dues + 1, sizeof *out_laid->moved_ns);
    if (plan->due == NULL || plan->bars == NULL || out_laid->origin == NULL ||
        out_laid->moved_ns == NULL) {
        course_laid_deinit(out_laid);
        return EH_NO_MEMORY;
    }
    for (size_t i = 0; i < way->count; i++) {
        const struct course_stretch *stretch = &way->stretches[i];
        for (uint32_t k = 0; k < stretch->count; k++) {
            const struct course_cell *cell = &g->cells[stretch->first_cell + k];
            const size_t beat = stretch->first_beat + k;
            const double here_ns = way->place_ns[beat];
            const double places[2] = {here_ns,
                                      k + 1 < stretch->count ? way->place_ns[beat + 1] : here_ns};
            lay_cell(out_laid, g, beat, cell, k == 0 || cell->bar_line, places);
        }
    }
    if (plan->bar_count > 0) {
        plan->start_ns = plan->bars[0].at_ns;
        plan->end_ns = plan->bars[plan->bar_count - 1].end_ns;
        plan->length = plan->bars[plan->bar_count - 1].end;
    }
    const enum eh_status status = plan_space(plan);
    if (status != EH_OK) {
        course_laid_deinit(out_laid);
    }
    return status;
}
