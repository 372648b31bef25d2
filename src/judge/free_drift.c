/* What a tempo map says in a few numbers: how fast, how steady. */
#include <math.h>
#include <stdlib.h>

#include "evenhand/stats.h"
#include "free.h"

struct span {
    const struct eh_free_tempo *tempo;
    double first, last; /* quarters: the first and the last stroke that was found */
    double quarter_ms;  /* mean over the run */
};

static double map_ms(const struct eh_free_tempo *tempo, double at) {
    const eh_ticks tick = (eh_ticks)llround(at * (double)EH_TICKS_PER_QUARTER);
    return (double)eh_tempo_map_ns(&tempo->map, tick) / 1e6;
}

static double quarters(eh_ticks ticks) {
    return (double)ticks / (double)EH_TICKS_PER_QUARTER;
}

/* The time of a place with the waiting taken out. */
static double played_ms(const struct eh_free_tempo *tempo, double at) {
    double ms = map_ms(tempo, at);
    for (size_t i = 0; i < tempo->halt_count; i++) {
        if (at > quarters(tempo->halts[i].at) - 1e-9) {
            ms -= (double)tempo->halts[i].excess_ns / 1e6;
        }
    }
    return ms;
}

static void note_halts(struct eh_free_tempo *tempo, const struct free_pairs *pairs) {
    tempo->halt_count = 0;
    for (size_t i = 1; i < pairs->count && tempo->halt_count < EH_FREE_HALTS; i++) {
        const struct free_pair *is = &pairs->pairs[i];
        if (!is->halted) {
            continue;
        }
        const double was_at = is[-1].at;
        const eh_ticks at = (eh_ticks)llround(is->at * (double)EH_TICKS_PER_QUARTER);
        const eh_ticks was = (eh_ticks)llround(was_at * (double)EH_TICKS_PER_QUARTER);
        const double before = (double)eh_tempo_map_ns_per_quarter(&tempo->map, was - 1);
        const double after = (double)eh_tempo_map_ns_per_quarter(&tempo->map, at);
        const double music_ns = (is->at - was_at) * 0.5 * (before + after);
        const int64_t took_ns =
            eh_tempo_map_ns(&tempo->map, at) - eh_tempo_map_ns(&tempo->map, was);
        tempo->halts[tempo->halt_count++] =
            (struct eh_free_halt){is->due, at, took_ns - llround(music_ns)};
    }
}

/* Percent faster than the mean, over a window about AT. */
static double pace(const struct span *span, double at, double window) {
    const double ms =
        played_ms(span->tempo, at + window / 2.0) - played_ms(span->tempo, at - window / 2.0);
    return 100.0 * log(span->quarter_ms * window / ms);
}

static double percent(double hundred_logs) {
    return 100.0 * expm1(hundred_logs / 100.0);
}

static void extremes(struct eh_free_tempo *tempo, const double *v, size_t n) {
    double lowest = v[0];
    double highest = v[0];
    double rise = 0.0;
    double fall = 0.0;
    for (size_t i = 1; i < n; i++) {
        rise = fmax(rise, v[i] - lowest);
        fall = fmax(fall, highest - v[i]);
        lowest = fmin(lowest, v[i]);
        highest = fmax(highest, v[i]);
    }
    tempo->rise_percent = percent(rise);
    tempo->fall_percent = -percent(-fall);
    tempo->change_percent = percent(v[n - 1] - v[0]);
}

static void wander(struct eh_free_tempo *tempo, const double *x, const double *v, size_t n) {
    const struct eh_line line = eh_line_fit(x, v, n);
    double most = 0.0;
    for (size_t i = 0; i < n && isfinite(line.slope); i++) {
        most = fmax(most, fabs(v[i] - line.intercept - line.slope * x[i]));
    }
    tempo->wander_percent = isfinite(line.slope) ? percent(most) : NAN;
}

enum eh_status free_drift_sum_up(struct eh_free_tempo *tempo, const struct free_pairs *pairs,
                                 double bar_quarters) {
    note_halts(tempo, pairs);
    struct span span = {
        .tempo = tempo, .first = pairs->pairs[0].at, .last = pairs->pairs[pairs->count - 1].at};
    const double length = span.last - span.first;
    span.quarter_ms = (played_ms(tempo, span.last) - played_ms(tempo, span.first)) / length;
    tempo->bpm = 60000.0 / span.quarter_ms;
    tempo->wander_percent = tempo->rise_percent = tempo->fall_percent = NAN;
    tempo->change_percent = NAN;
    const double step = bar_quarters / 4.0;
    if (length < 2.0 * bar_quarters || !(span.quarter_ms > 0.0)) {
        return span.quarter_ms > 0.0 ? EH_OK : EH_NO_FIT;
    }
    const double window = bar_quarters / 2.0;
    const size_t n = (size_t)((length - window) / step) + 1;
    double *room = malloc(2 * n * sizeof *room);
    if (room == NULL) {
        return EH_NO_MEMORY;
    }
    for (size_t i = 0; i < n; i++) {
        room[i] = (double)i / (double)n;
        room[n + i] = pace(&span, span.first + window / 2.0 + (double)i * step, window);
    }
    extremes(tempo, room + n, n);
    wander(tempo, room, room + n, n);
    free(room);
    return EH_OK;
}
