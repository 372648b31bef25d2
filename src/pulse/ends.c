/* The player's beat at both ends of a stretch, from lines through its first and its last bar. */
#include <math.h>

#include "evenhand/judgement.h"
#include "evenhand/time.h"
#include "work.h"

static const double confidence = 0.9;

/* Rests beyond so many scales count as if they stood there. */
static const double bound = 2.0;

void pulse_strokes(struct pulse_work *work, const struct eh_match *matches,
                   const struct eh_hit *hits) {
    const struct eh_plan *plan = work->plan;
    work->count = 0;
    for (size_t i = 0; i < plan->due_count; i++) {
        const struct eh_due *due = &plan->due[i];
        const bool counts = due->main == i && eh_plan_stroke(plan, i)->kind != EH_KIND_SECOND;
        if (!counts || matches[i].hit == EH_NO_HIT) {
            continue;
        }
        const int64_t off_ns = hits[matches[i].hit].at_ns - due->at_ns - matches[i].shift_ns;
        work->strokes[work->count++] =
            (struct pulse_stroke){.at_ms = (double)due->at_ns / (double)EH_NS_PER_MS,
                                  .off_ms = (double)off_ns / (double)EH_NS_PER_MS,
                                  .bar = due->bar,
                                  .on_line = due->at == plan->bars[due->bar].at};
    }
}

static size_t first_of_bar(const struct pulse_work *work, size_t bar) {
    size_t i = 0;
    while (i < work->count && work->strokes[i].bar < bar) {
        i++;
    }
    return i;
}

static bool follows(const struct pulse_work *work, size_t bar) {
    const struct eh_plan *plan = work->plan;
    return bar < plan->bar_count && plan->bars[bar].pass == plan->bars[bar - 1].pass;
}

void pulse_stretch_strokes(const struct pulse_work *work, size_t first, size_t count,
                           size_t *out_from, size_t *out_to) {
    *out_from = first_of_bar(work, first);
    *out_to = first_of_bar(work, first + count);
    if (follows(work, first + count) && *out_to < work->count &&
        work->strokes[*out_to].bar == first + count && work->strokes[*out_to].on_line) {
        (*out_to)++;
    }
}

/* A line through strokes; places are counted in its own lengths. */
struct line {
    bool known;
    double from_ms, length_ms;
    double start, slope;    /* ms, ms a length */
    double middle, squares; /* of the strokes' places: mean, sum of squares about it */
    size_t n;
};

static void keep_rests(struct pulse_work *work, const struct line *line,
                       const struct eh_curve *curve) {
    for (size_t i = 0; i < line->n; i++) {
        work->rests[work->rest_count++] = work->y[i] - line->start - line->slope * work->x[i];
    }
    work->lag_sum += isfinite(curve->lag1) ? curve->lag1 * (double)line->n : 0.0;
    work->lines++;
}

static struct line fit(struct pulse_work *work, size_t from, size_t to) {
    struct line line = {.n = to - from};
    if (line.n < EH_PULSE_STROKES_LEAST) {
        return line;
    }
    line.from_ms = work->strokes[from].at_ms;
    line.length_ms = work->strokes[to - 1].at_ms - line.from_ms;
    for (size_t i = 0; i < line.n; i++) {
        work->x[i] = (work->strokes[from + i].at_ms - line.from_ms) / line.length_ms;
        work->y[i] = work->strokes[from + i].off_ms;
    }
    const struct eh_curve curve = eh_curve_fit(work->x, work->y, line.n, 1, work->scratch);
    line.known = isfinite(curve.c[0]) && isfinite(curve.c[1]);
    if (!line.known) {
        return line;
    }
    line.start = curve.c[0];
    line.slope = curve.c[1];
    line.middle = eh_mean(work->x, line.n);
    for (size_t i = 0; i < line.n; i++) {
        line.squares += (work->x[i] - line.middle) * (work->x[i] - line.middle);
    }
    keep_rests(work, &line, &curve);
    return line;
}

static double place(const struct line *line, double at_ms) {
    return (at_ms - line->from_ms) / line->length_ms;
}

static double value_at(const struct line *line, double at_ms) {
    return line->start + line->slope * place(line, at_ms);
}

static double design_at(const struct line *line, double at_ms) {
    const double off = place(line, at_ms) - line->middle;
    return sqrt(1.0 / (double)line->n + off * off / line->squares);
}

/* How many strokes from the beginning of [FROM, TO) the first bar holds, or as many bars as are
 * needed for a line; the same from its end. */
static size_t head(const struct pulse_work *work, size_t from, size_t to) {
    size_t end = from;
    while (end < to && (end - from < EH_PULSE_STROKES_LEAST ||
                        work->strokes[end].bar == work->strokes[end - 1].bar)) {
        end++;
    }
    return end;
}

static size_t tail(const struct pulse_work *work, size_t from, size_t to, size_t last_bar) {
    size_t begin = to;
    while (begin > from &&
           (work->strokes[begin - 1].bar >= last_bar || to - begin < EH_PULSE_STROKES_LEAST ||
            work->strokes[begin - 1].bar == work->strokes[begin].bar)) {
        begin--;
    }
    return begin;
}

static struct pulse_ends one_line(struct pulse_work *work, size_t from, size_t to, double start_ms,
                                  double end_ms) {
    const struct line line = fit(work, from, to);
    struct pulse_ends ends = {.known = line.known, .n = to - from};
    if (line.known) {
        const double length = place(&line, end_ms) - place(&line, start_ms);
        ends.drift_ms = line.slope * length;
        ends.drift_design = length / sqrt(line.squares);
        ends.end_ms = value_at(&line, end_ms);
        ends.end_design = design_at(&line, end_ms);
    }
    return ends;
}

struct pulse_ends pulse_ends(struct pulse_work *work, size_t first, size_t count) {
    const struct eh_plan_bar *bars = work->plan->bars;
    const double start_ms = (double)bars[first].at_ns / (double)EH_NS_PER_MS;
    const double end_ms = (double)bars[first + count - 1].end_ns / (double)EH_NS_PER_MS;
    size_t from = 0;
    size_t to = 0;
    pulse_stretch_strokes(work, first, count, &from, &to);
    if (to - from < EH_PULSE_STROKES_LEAST) {
        return (struct pulse_ends){.n = to - from};
    }
    const size_t head_end = head(work, from, to);
    const size_t tail_begin = tail(work, from, to, first + count - 1);
    if (count == 1 || head_end > tail_begin) {
        return one_line(work, from, to, start_ms, end_ms);
    }
    const struct line a = fit(work, from, head_end);
    const struct line b = fit(work, tail_begin, to);
    struct pulse_ends ends = {.known = a.known && b.known, .n = a.n + b.n};
    if (ends.known) {
        ends.end_ms = value_at(&b, end_ms);
        ends.end_design = design_at(&b, end_ms);
        ends.drift_ms = ends.end_ms - value_at(&a, start_ms);
        ends.drift_design = hypot(ends.end_design, design_at(&a, start_ms));
    }
    return ends;
}

/* Every line has taken two degrees of freedom. */
void pulse_scatter(struct pulse_work *work) {
    const double n = (double)work->rest_count;
    const double left = n - 2.0 * (double)work->lines;
    work->scatter_ms = NAN;
    work->widen = 1.0;
    work->quantile = NAN;
    if (!(left >= 1.0)) {
        return;
    }
    const struct eh_estimate scale = eh_scale(work->rests, work->rest_count, bound, confidence);
    const double lag = work->lag_sum / n;
    work->scatter_ms = scale.value * sqrt(n / left);
    work->widen = sqrt((1.0 + lag) / (1.0 - lag));
    work->quantile = eh_student_quantile(0.5 + confidence / 2.0, left);
}

struct eh_estimate pulse_estimate(const struct pulse_work *work, double value, double design,
                                  size_t n) {
    const double reach = work->quantile * work->widen * work->scatter_ms * design;
    return (struct eh_estimate){value, value - reach, value + reach, n};
}
