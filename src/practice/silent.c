#include "evenhand/silent.h"

#include <string.h>

/* Growing stretches: so many bars each, and so many that sound before each of them (the first of
 * two is for coming back from the stretch before). Common practice, no source. */
static const size_t steps[] = {1, 2, 4, 8};
enum { STEPS = sizeof steps / sizeof steps[0], SOUNDING = 2, AFTER = 1 };

static size_t bars_a_pass(const struct eh_plan *plan) {
    return plan->bar_count / (size_t)plan->passes;
}

static bool is_asked(const struct eh_silent_ask *ask, int32_t written) {
    for (size_t i = 0; i < ask->range_count; i++) {
        if (written >= ask->ranges[i].first && written <= ask->ranges[i].last) {
            return true;
        }
    }
    return false;
}

static bool has_bar(const struct eh_plan *plan, int32_t written) {
    for (size_t i = 0; i < plan->bar_count; i++) {
        if (plan->bars[i].written == written) {
            return true;
        }
    }
    return false;
}

/* The first and last written bar of the plan. */
static void find_reach(const struct eh_plan *plan, int32_t *out_low, int32_t *out_high) {
    *out_low = plan->bars[0].written;
    *out_high = *out_low;
    for (size_t i = 1; i < plan->bar_count; i++) {
        const int32_t written = plan->bars[i].written;
        *out_low = written < *out_low ? written : *out_low;
        *out_high = written > *out_high ? written : *out_high;
    }
}

static enum eh_status lay_bars(const struct eh_silent_ask *ask, const struct eh_plan *plan,
                               bool *silent, struct eh_error *error) {
    int32_t low = 0;
    int32_t high = 0;
    find_reach(plan, &low, &high);
    for (size_t i = 0; i < ask->range_count; i++) {
        const int32_t first = ask->ranges[i].first;
        const int32_t last = ask->ranges[i].last;
        if (!has_bar(plan, first) || !has_bar(plan, last)) {
            return eh_fail(error, EH_OUT_OF_RANGE,
                           "bar %d cannot be silent: the bars that are played are %d to %d",
                           (int)(has_bar(plan, first) ? last : first), (int)low, (int)high);
        }
    }
    for (size_t i = 0; i < plan->bar_count; i++) {
        silent[i] = is_asked(ask, plan->bars[i].written);
    }
    return EH_OK;
}

static void lay_every_other(const struct eh_plan *plan, bool *silent) {
    for (size_t i = 0; i < plan->bar_count; i++) {
        silent[i] = i % bars_a_pass(plan) % 2 == 1;
    }
}

static void lay_growing(const struct eh_plan *plan, bool *silent) {
    const size_t pass = bars_a_pass(plan);
    size_t step = 0;
    memset(silent, 0, plan->bar_count * sizeof *silent);
    if (pass < SOUNDING + steps[0] + AFTER) {
        return;
    }
    for (size_t at = 0; at < plan->bar_count;) {
        const size_t left = pass - at % pass;
        if (SOUNDING + steps[step] + AFTER > pass) {
            step = 0;
        }
        if (SOUNDING + steps[step] + AFTER > left) {
            at += left; /* the next pass */
            continue;
        }
        at += SOUNDING;
        for (size_t i = 0; i < steps[step]; i++) {
            silent[at++] = true;
        }
        step = (step + 1) % STEPS;
    }
}

static size_t count_silent(const bool *silent, size_t count) {
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        n += silent[i];
    }
    return n;
}

static enum eh_status check(const struct eh_silent_ask *ask, const struct eh_plan *plan,
                            const bool *silent, struct eh_error *error) {
    const size_t n = count_silent(silent, plan->bar_count);
    if (n == plan->bar_count) {
        return eh_fail(error, EH_OUT_OF_RANGE,
                       "every bar would be silent, and there would be nothing to come back to; "
                       "leave one that sounds, or play without a click: --no-click");
    }
    if (n > 0) {
        return EH_OK;
    }
    const bool growing = ask->kind == EH_SILENT_GROWING;
    return eh_fail(error, EH_OUT_OF_RANGE,
                   "no bar would be silent: %zu bar%s a pass, where %s needs %d; take more bars",
                   bars_a_pass(plan), bars_a_pass(plan) == 1 ? "" : "s",
                   growing ? "growing" : "every-other", growing ? SOUNDING + 1 + AFTER : 2);
}

enum eh_status eh_silent_lay(const struct eh_silent_ask *ask, const struct eh_plan *plan,
                             bool *silent, struct eh_error *error) {
    enum eh_status status = EH_OK;
    switch ((enum eh_silent_kind)ask->kind) {
    case EH_SILENT_NONE:
        memset(silent, 0, plan->bar_count * sizeof *silent);
        return EH_OK;
    case EH_SILENT_EVERY_OTHER:
        lay_every_other(plan, silent);
        break;
    case EH_SILENT_GROWING:
        lay_growing(plan, silent);
        break;
    case EH_SILENT_BARS:
        status = lay_bars(ask, plan, silent, error);
        break;
    }
    return status == EH_OK ? check(ask, plan, silent, error) : status;
}
