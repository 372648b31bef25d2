/* What was heard at each written dynamic. */
#include <math.h>

#include "levels.h"

/* Fewer taps than this say nothing about a dynamic. */
enum { LEAST = 6, VISIT_LEAST = 4 };

/* A pad hides soft taps, not loud ones: what is missing above mp the player has left out. */
enum { HIDDEN_UP_TO = 2 };

/* When more of the taps than this are missing, their median is not seen. */
static const double hidden_most = 0.5;

/* So many more hits at the highest velocity than one step below, that chance will not do: were the
 * pad still to follow, the higher step would be the rarer one. */
static const double pile_least = 0.2;

/* A pad whose velocities rise evenly over so many dB is the middle of such pads (a choice). */
static const double straight_db = 40.0;

static size_t copy_velocities(const struct eh_taps *taps, double *v) {
    for (size_t i = 0; i < taps->count; i++) {
        v[i] = taps->taps[i].velocity;
    }
    return taps->count;
}

/* The smallest distance between two velocities that came, 1 where nothing says otherwise. */
static void find_step(struct eh_levels *levels) {
    double all[EH_CALIBRATE_MARKS * EH_TAPS_ROOM];
    size_t n = 0;
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        n += copy_velocities(&levels->taps[mark], all + n);
    }
    eh_sort(all, n);
    double step = HUGE_VAL;
    for (size_t i = 1; i < n; i++) {
        if (all[i] > all[i - 1]) {
            step = fmin(step, all[i] - all[i - 1]);
        }
    }
    levels->step = step < HUGE_VAL ? step : 1.0;
    levels->highest = n > 0 ? all[n - 1] : NAN;
}

static size_t count_at(const struct eh_levels *levels, double from, double to) {
    size_t n = 0;
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        for (size_t i = 0; i < levels->taps[mark].count; i++) {
            const double v = levels->taps[mark].taps[i].velocity;
            n += v > from && v <= to;
        }
    }
    return n;
}

static size_t loudest_mark(const struct eh_levels *levels) {
    size_t mark = EH_CALIBRATE_MARKS - 1;
    while (mark > 0 && levels->taps[mark].count == 0) {
        mark--;
    }
    return mark;
}

static double share_at_top(const struct eh_levels *levels, size_t mark) {
    const struct eh_taps *taps = &levels->taps[mark];
    size_t n = 0;
    for (size_t i = 0; i < taps->count; i++) {
        n += taps->taps[i].velocity > levels->highest - 0.25 * levels->step;
    }
    return taps->count > 0 ? (double)n / (double)taps->count : 0.0;
}

/* Where the hits pile up the pad follows no further. */
static void find_top(const struct eh_levels *levels, struct eh_calibration *out) {
    const double step = levels->step;
    const double top = levels->highest;
    const size_t at_top = count_at(levels, top - 0.25 * step, top);
    const size_t below = count_at(levels, top - fmax(1.25 * step, 2.25), top - 0.25 * step);
    const struct eh_estimate pile = eh_share(at_top, at_top + below, eh_calibrate_confidence);
    out->top = (struct eh_calibrate_figure){.sure = EH_CALIBRATE_AT_MOST,
                                            .estimate = {top, top, NAN, at_top}};
    if (share_at_top(levels, loudest_mark(levels)) < pile_least || at_top < 3) {
        return;
    }
    if (pile.low > 0.5) {
        out->top.sure = EH_CALIBRATE_FOUND;
        out->top.estimate = (struct eh_estimate){top, top - 0.5 * step, top, at_top};
    } else if (pile.value > 0.5) {
        out->top.sure = EH_CALIBRATE_UNCLEAR;
    }
}

static bool has_top(const struct eh_calibration *out) {
    return out->top.sure == EH_CALIBRATE_FOUND;
}

/* How many taps of a mark the pad did not report. CHAIN: the softer marks all lost some too. */
static uint32_t unheard(const struct eh_calibrate_mark *mark, int index, bool chain) {
    return index <= HIDDEN_UP_TO && chain ? mark->due - mark->heard : 0;
}

static void read_mark(struct eh_levels *levels, int index, bool *chain,
                      struct eh_calibration *out) {
    struct eh_calibrate_mark *mark = &out->marks[index];
    const struct eh_taps *taps = &levels->taps[index];
    double v[EH_TAPS_ROOM];
    const size_t n = copy_velocities(taps, v);
    mark->due = taps->due;
    mark->heard = eh_taps_heard(taps);
    mark->heard = mark->heard < mark->due ? mark->heard : mark->due;
    mark->at_top = share_at_top(levels, (size_t)index);
    mark->level_db = (struct eh_estimate){NAN, NAN, NAN, n};
    mark->scatter_db = NAN;
    const uint32_t lost = unheard(mark, index, *chain);
    *chain = *chain && lost > 0;
    mark->velocity = eh_velocity_median(v, n, lost, levels->step);
    if (lost > hidden_most * mark->due) {
        mark->state = EH_CALIBRATE_HIDDEN;
    } else if (n < LEAST || isnan(mark->velocity.value)) {
        mark->state = EH_CALIBRATE_FEW;
    } else if (has_top(out) && mark->at_top >= 0.5) {
        mark->state = EH_CALIBRATE_AT_TOP;
    } else {
        mark->state = EH_CALIBRATE_CLEAR;
    }
}

static void add_knot(struct eh_levels *levels, int mark, const struct eh_calibration *out) {
    const double velocity = fmax(out->marks[mark].velocity.value, 0.5);
    levels->knots[levels->count++] = (struct eh_knot){.mark = mark,
                                                      .log_velocity = log(velocity),
                                                      .law_db = eh_law_db(velocity),
                                                      .written_db = eh_calibrate_written_db(mark),
                                                      .weight = (double)levels->taps[mark].count};
}

double eh_law_db(double velocity) {
    return 20.0 * log10(velocity / 127.0);
}

double eh_levels_law_db(const struct eh_levels *levels, double velocity) {
    return levels->straight ? straight_db * (velocity - 127.0) / 126.0 : eh_law_db(velocity);
}

double eh_levels_slope(const struct eh_levels *levels, double velocity) {
    return levels->straight ? straight_db / 126.0 : 20.0 / log(10.0) / velocity;
}

/* Adds a visit's taps to those of its dynamic, as far as there is room. */
static void add_taps(const struct eh_taps *visit, struct eh_taps *all) {
    for (size_t i = 0; i < visit->count && all->count < EH_TAPS_ROOM; i++) {
        all->taps[all->count++] = visit->taps[i];
    }
    for (size_t i = 0; i < visit->echo_count && all->echo_count < EH_TAPS_ROOM; i++) {
        all->echoes[all->echo_count++] = visit->echoes[i];
    }
    all->due += visit->due;
}

/* The middle of one visit, what the pad did not report of soft dynamics counted in. */
static double visit_velocity(const struct eh_taps *taps, int mark) {
    double v[EH_TAPS_ROOM];
    const size_t n = copy_velocities(taps, v);
    const uint32_t heard = eh_taps_heard(taps);
    const uint32_t lost = mark <= HIDDEN_UP_TO && heard < taps->due ? taps->due - heard : 0;
    if (n < VISIT_LEAST || lost > hidden_most * taps->due) {
        return NAN;
    }
    return fmax(eh_velocity_median(v, n, lost, 1.0).value, 0.5);
}

static void gather_visits(const struct eh_calibrate_input *input, struct eh_levels *levels) {
    int visit[EH_CALIBRATE_MARKS] = {0};
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        for (int i = 0; i < EH_CALIBRATE_VISITS; i++) {
            levels->visits[mark][i] = NAN;
        }
    }
    for (int32_t step = 0; step < input->course->step_count; step++) {
        const struct eh_calibrate_step *s = &input->course->steps[step];
        if (s->kind == EH_CALIBRATE_LEVEL && visit[s->mark] < EH_CALIBRATE_VISITS) {
            struct eh_taps taps;
            eh_taps_gather(input, step, &taps);
            add_taps(&taps, &levels->taps[s->mark]);
            levels->visits[s->mark][visit[s->mark]++] = visit_velocity(&taps, s->mark);
        }
    }
}

void eh_levels_read(const struct eh_calibrate_input *input, struct eh_levels *levels,
                    struct eh_calibration *out) {
    gather_visits(input, levels);
    find_step(levels);
    out->velocity_step = levels->step;
    if (!isnan(levels->highest)) {
        find_top(levels, out);
    }
    bool chain = true;
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        read_mark(levels, mark, &chain, out);
        if (out->marks[mark].state == EH_CALIBRATE_CLEAR) {
            add_knot(levels, mark, out);
        }
    }
}
