/* From hits to taps and pairs. */
#include <math.h>

#include "parts.h"

/* A note that follows a single stroke so closely is its echo, or the stick's bounce: no hand
 * strokes twice a click within it when asked for one tap. */
static const int64_t echo_ns = 60 * EH_NS_PER_MS;

/* Later than this after a stroke a note is no second stroke of the pair. */
static const int64_t pair_ns = 200 * EH_NS_PER_MS;

static double ms(int64_t ns) {
    return (double)ns / (double)EH_NS_PER_MS;
}

static const struct eh_calibrate_span *span_of(const struct eh_calibrate_input *input,
                                               int32_t step) {
    const struct eh_calibrate_course *course = input->course;
    if (step >= course->span_count || course->spans[step].taps == 0) {
        return NULL;
    }
    return &course->spans[step];
}

/* When beat BEAT sounded; half beats too. */
static int64_t click_ns(const struct eh_calibrate_input *input, double beat) {
    return eh_tempo_map_ns(input->click, (eh_ticks)(beat * (double)EH_TICKS_PER_QUARTER));
}

/* Struck heads and rims; a cross-stick is another sound altogether. */
static bool is_stroke(const struct eh_calibrate_input *input, const struct eh_hit *hit) {
    const uint8_t zone = hit->note < 128 ? input->pad->zones[hit->note] : (uint8_t)EH_ZONE_NONE;
    return zone != EH_ZONE_NONE && zone != EH_ZONE_CROSS;
}

/* The hits of a span: from half a beat before its first click to half a beat after its last. */
struct window {
    size_t next, end;
};

static struct window window_of(const struct eh_calibrate_input *input,
                               const struct eh_calibrate_span *span) {
    const int64_t from = click_ns(input, span->first_beat - 0.5);
    const int64_t to = click_ns(input, span->first_beat + span->taps - 0.5);
    struct window window = {0, 0};
    while (window.next < input->hit_count && input->hits[window.next].at_ns < from) {
        window.next++;
    }
    window.end = window.next;
    while (window.end < input->hit_count && input->hits[window.end].at_ns < to) {
        window.end++;
    }
    return window;
}

static int32_t beat_of(const struct eh_calibrate_input *input, int64_t at_ns) {
    const eh_ticks tick = eh_tempo_map_tick(input->click, at_ns);
    return (int32_t)floor((double)tick / (double)EH_TICKS_PER_QUARTER + 0.5);
}

static void add_tap(const struct eh_calibrate_input *input, const struct eh_hit *hit,
                    struct eh_taps *out) {
    const int32_t beat = beat_of(input, hit->at_ns);
    out->taps[out->count++] = (struct eh_tap){.velocity = eh_hit_velocity(hit),
                                              .offset_ms = ms(hit->at_ns - click_ns(input, beat)),
                                              .beat = beat};
}

static void add_echo(const struct eh_hit *first, const struct eh_hit *second, struct eh_taps *out) {
    out->echoes[out->echo_count++] = (struct eh_echo){.gap_ms = ms(second->at_ns - first->at_ns),
                                                      .first = eh_hit_velocity(first),
                                                      .second = eh_hit_velocity(second)};
}

void eh_taps_gather(const struct eh_calibrate_input *input, int32_t step, struct eh_taps *out) {
    *out = (struct eh_taps){0};
    const struct eh_calibrate_span *span = span_of(input, step);
    if (span == NULL) {
        return;
    }
    out->due = (uint32_t)span->taps;
    const struct window window = window_of(input, span);
    const struct eh_hit *stroke = NULL;
    for (size_t i = window.next; i < window.end && out->count < EH_TAPS_ROOM; i++) {
        const struct eh_hit *hit = &input->hits[i];
        if (!is_stroke(input, hit)) {
            continue;
        }
        if (stroke == NULL || hit->at_ns - stroke->at_ns >= echo_ns) {
            add_tap(input, hit, out);
        } else if (hit->velocity <= stroke->velocity) {
            if (out->echo_count < EH_TAPS_ROOM) {
                add_echo(stroke, hit, out);
            }
            continue;
        } else {
            out->count--; /* what came before only brushed the head */
            add_tap(input, hit, out);
        }
        stroke = hit;
    }
}

uint32_t eh_taps_heard(const struct eh_taps *taps) {
    uint32_t heard = 0;
    for (size_t i = 0; i < taps->count; i++) {
        heard += i == 0 || taps->taps[i].beat != taps->taps[i - 1].beat;
    }
    return heard;
}

/* The stroke that opens a pair: of two notes within the pad's retrigger time the louder one. */
static size_t open_pair(const struct eh_calibrate_input *input, size_t at, size_t end) {
    const struct eh_hit *hits = input->hits;
    while (at + 1 < end && hits[at + 1].at_ns - hits[at].at_ns < input->pad->retrigger_ns &&
           hits[at + 1].velocity > hits[at].velocity) {
        at++;
    }
    return at;
}

void eh_pairs_gather(const struct eh_calibrate_input *input, int32_t step, struct eh_pairs *pairs) {
    const struct eh_calibrate_span *span = span_of(input, step);
    if (span == NULL) {
        return;
    }
    const struct window window = window_of(input, span);
    size_t i = window.next;
    while (i < window.end && pairs->count < EH_TAPS_ROOM) {
        if (!is_stroke(input, &input->hits[i])) {
            i++;
            continue;
        }
        i = open_pair(input, i, window.end);
        const struct eh_hit *first = &input->hits[i];
        const int32_t beat = beat_of(input, first->at_ns);
        pairs->due++;
        for (i++; i < window.end && !is_stroke(input, &input->hits[i]); i++) {
        }
        const struct eh_hit *second = i < window.end ? &input->hits[i] : NULL;
        if (second != NULL && second->at_ns - first->at_ns <= pair_ns) {
            pairs->seen[pairs->count++] =
                (struct eh_echo){.gap_ms = ms(second->at_ns - first->at_ns),
                                 .first = eh_hit_velocity(first),
                                 .second = eh_hit_velocity(second)};
            while (i < window.end && beat_of(input, input->hits[i].at_ns) == beat) {
                i++; /* a third note is a bounce */
            }
        }
    }
}
