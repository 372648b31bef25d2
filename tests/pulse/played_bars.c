#include "played_bars.h"

#include <criterion/criterion.h>
#include <stdlib.h>

#include "evenhand/silent.h"
#include "text_exercise.h"

static void read_silent(struct played_bars *p, const char *silent) {
    struct eh_error error = {0};
    cr_assert_eq(eh_silent_parse(silent, p->silent, p->plan.bar_count, &error), EH_OK, "%s",
                 error.text);
}

struct played_bars played_bars(const char *bars, int passes, const char *silent) {
    struct played_bars p = {.exercise = text_exercise(NULL, bars)};
    text_plan(&p.plan, p.exercise, 100, passes, 4 * EH_TICKS_PER_QUARTER);
    p.hits = calloc(p.plan.due_count, sizeof *p.hits);
    p.matches = calloc(p.plan.due_count, sizeof *p.matches);
    p.silent = calloc(p.plan.bar_count, sizeof *p.silent);
    cr_assert(p.hits != NULL && p.matches != NULL && p.silent != NULL);
    read_silent(&p, silent);
    for (size_t i = 0; i < p.plan.due_count; i++) {
        p.hits[i].at_ns = p.plan.due[i].at_ns;
        p.matches[i].hit = (int32_t)i;
    }
    return p;
}

static bool is_within(const struct played_bars *p, size_t due, double from_ms, double to_ms) {
    const double at_ms = (double)p->plan.due[due].at_ns / (double)EH_NS_PER_MS;
    return at_ms >= from_ms - 0.5 && at_ms < to_ms - 0.5;
}

void played_move(struct played_bars *p, double from_ms, double to_ms, double start_ms,
                 double slope) {
    for (size_t i = 0; i < p->plan.due_count; i++) {
        if (is_within(p, i, from_ms, to_ms)) {
            const double at_ms = (double)p->plan.due[i].at_ns / (double)EH_NS_PER_MS;
            const double by_ms = start_ms + slope * (at_ms - from_ms) / 1000.0;
            p->hits[i].at_ns += (int64_t)(by_ms * (double)EH_NS_PER_MS);
        }
    }
}

void played_miss(struct played_bars *p, double from_ms, double to_ms) {
    for (size_t i = 0; i < p->plan.due_count; i++) {
        if (is_within(p, i, from_ms, to_ms)) {
            p->matches[i].hit = EH_NO_HIT;
        }
    }
}

void played_measure(struct played_bars *p) {
    cr_assert_eq(eh_pulse_measure(&p->pulse, &p->plan, p->matches, p->hits, p->silent), EH_OK);
}

void played_deinit(struct played_bars *p) {
    eh_pulse_deinit(&p->pulse);
    eh_plan_deinit(&p->plan);
    eh_exercise_free(p->exercise);
    free(p->hits);
    free(p->matches);
    free(p->silent);
}
