#include "evenhand/pulse.h"

#include <math.h>
#include <stdlib.h>

#include "evenhand/practice.h"
#include "work.h"

double eh_pulse_percent(double drift_ms, double length_ms) {
    return drift_ms > -length_ms ? 100.0 * (length_ms / (length_ms + drift_ms) - 1.0) : NAN;
}

const char *eh_pulse_text(enum eh_pulse_verdict verdict) {
    switch (verdict) {
    case EH_PULSE_HELD:
        return "held";
    case EH_PULSE_RUSHED:
        return "rushed";
    case EH_PULSE_DRAGGED:
        return "dragged";
    case EH_PULSE_UNCLEAR:
        break;
    }
    return "unclear";
}

/* How many silent bars of one pass begin at BAR. */
static size_t stretch_at(const struct eh_plan *plan, const bool *silent, size_t bar) {
    size_t end = bar;
    while (end < plan->bar_count && silent[end] && plan->bars[end].pass == plan->bars[bar].pass) {
        end++;
    }
    return end - bar;
}

static size_t count_stretches(const struct eh_plan *plan, const bool *silent) {
    size_t n = 0;
    for (size_t bar = 0; bar < plan->bar_count;) {
        const size_t length = stretch_at(plan, silent, bar);
        n += length > 0;
        bar += length > 0 ? length : 1;
    }
    return n;
}

static double tolerance_ms(const struct eh_plan_bar *first, double length_ms) {
    const double beat_ms = (double)(first->end_ns - first->at_ns) / (double)EH_NS_PER_MS *
                           (double)eh_beat_ticks(first->beats, first->unit) /
                           (double)(first->end - first->at);
    return fmin(EH_PULSE_TEMPO_PERCENT / 100.0 * length_ms, EH_PULSE_BEAT_SHARE * beat_ms);
}

static void lay_stretches(struct eh_pulse *out, const struct pulse_work *work) {
    const struct eh_plan *plan = work->plan;
    for (size_t bar = 0; bar < plan->bar_count;) {
        const size_t length = stretch_at(plan, work->silent, bar);
        if (length == 0) {
            bar++;
            continue;
        }
        const struct eh_plan_bar *first = &plan->bars[bar];
        const struct eh_plan_bar *last = &plan->bars[bar + length - 1];
        const double length_ms = (double)(last->end_ns - first->at_ns) / (double)EH_NS_PER_MS;
        bar += length;
        out->stretches[out->stretch_count++] = (struct eh_pulse_stretch){
            .first_bar = bar - length,
            .bar_count = length,
            .pass = first->pass,
            .first_written = first->written,
            .last_written = last->written,
            .length_ms = length_ms,
            .tolerance_ms = tolerance_ms(first, length_ms),
            .returned = bar < plan->bar_count && plan->bars[bar].pass == first->pass};
    }
}

static void judge_stretch(struct eh_pulse *out, const struct pulse_work *work, size_t i) {
    static const struct eh_estimate unknown = {NAN, NAN, NAN, 0};
    const struct pulse_ends *ends = &work->ends[i];
    struct eh_pulse_stretch *s = &out->stretches[i];
    s->drift_ms = unknown;
    s->tempo_percent = unknown;
    s->return_ms = unknown;
    s->drift_ms.n = ends->n;
    s->beats_back = EH_PULSE_NOT_BACK;
    if (!ends->known) {
        s->returned = false;
        return;
    }
    s->drift_ms = pulse_estimate(work, ends->drift_ms, ends->drift_design, ends->n);
    s->tempo_percent =
        (struct eh_estimate){eh_pulse_percent(s->drift_ms.value, s->length_ms),
                             eh_pulse_percent(s->drift_ms.high, s->length_ms),
                             eh_pulse_percent(s->drift_ms.low, s->length_ms), ends->n};
    s->verdict = (uint8_t)pulse_verdict(&s->drift_ms, s->tolerance_ms);
    s->returned = s->returned && isfinite(out->usual_ms);
    if (s->returned) {
        s->return_ms =
            pulse_estimate(work, ends->end_ms - out->usual_ms, ends->end_design, ends->n);
        pulse_back(work, out, s);
    }
}

static void measure(struct eh_pulse *out, struct pulse_work *work) {
    lay_stretches(out, work);
    for (size_t i = 0; i < out->stretch_count; i++) {
        const struct eh_pulse_stretch *s = &out->stretches[i];
        work->ends[i] = pulse_ends(work, s->first_bar, s->bar_count);
    }
    pulse_scatter(work);
    out->scatter_ms = work->scatter_ms;
    pulse_bars(work, out);
    for (size_t i = 0; i < out->stretch_count; i++) {
        judge_stretch(out, work, i);
    }
    pulse_lengths(work, out);
}

/* No stroke stands in two lines: what follows a stretch is a bar with a click. */
static bool make_room(struct pulse_work *work, struct eh_pulse *out, size_t stretches) {
    const size_t n = work->plan->due_count + 1;
    work->strokes = calloc(n, sizeof *work->strokes);
    work->ends = calloc(stretches, sizeof *work->ends);
    work->rests = calloc(n, sizeof(double));
    work->x = calloc(n, sizeof(double));
    work->y = calloc(n, sizeof(double));
    work->scratch = calloc(2 * n, sizeof(double));
    out->stretches = calloc(stretches, sizeof *out->stretches);
    out->bars = calloc(work->plan->bar_count, sizeof *out->bars);
    out->bar_count = work->plan->bar_count;
    return work->strokes != NULL && work->ends != NULL && work->rests != NULL && work->x != NULL &&
           work->y != NULL && work->scratch != NULL && out->stretches != NULL && out->bars != NULL;
}

static void give_back(struct pulse_work *work) {
    free(work->strokes);
    free(work->ends);
    free(work->rests);
    free(work->x);
    free(work->y);
    free(work->scratch);
}

enum eh_status eh_pulse_measure(struct eh_pulse *out, const struct eh_plan *plan,
                                const struct eh_match *matches, const struct eh_hit *hits,
                                const bool *silent) {
    struct pulse_work work = {.plan = plan, .silent = silent};
    const size_t stretches = count_stretches(plan, silent);
    *out = (struct eh_pulse){.usual_ms = NAN, .scatter_ms = NAN};
    if (stretches == 0) {
        return EH_EMPTY;
    }
    const bool room = make_room(&work, out, stretches);
    if (room) {
        pulse_strokes(&work, matches, hits);
        measure(out, &work);
    }
    give_back(&work);
    if (!room) {
        eh_pulse_deinit(out);
        return EH_NO_MEMORY;
    }
    return EH_OK;
}

void eh_pulse_deinit(struct eh_pulse *pulse) {
    free(pulse->stretches);
    free(pulse->bars);
    *pulse = (struct eh_pulse){.stretches = NULL};
}
