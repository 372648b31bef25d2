#include "span.h"

/* What passes between the last bar line of a run and the count-in of the next, rest aside. */
static const double tail_s = 1.5;

struct span span_all(const struct eh_exercise *exercise) {
    return (struct span){1, eh_exercise_bar_count(exercise)};
}

struct span span_of_run(const struct eh_agenda_input *input, const struct eh_agenda_run *run) {
    struct span span = span_all(input->pieces[run->piece].exercise);
    span.first = run->first_bar > 0 ? run->first_bar : span.first;
    span.last = run->last_bar > 0 && run->last_bar < span.last ? run->last_bar : span.last;
    return span;
}

bool span_covers(struct span outer, struct span inner) {
    return outer.first <= inner.first && outer.last >= inner.last;
}

bool span_overlaps(struct span a, struct span b) {
    return a.first <= b.last && b.first <= a.last;
}

bool span_sounds(const struct eh_exercise *exercise, struct span span) {
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    for (size_t i = 0; i < count; i++) {
        if (strokes[i].bar >= span.first && strokes[i].bar <= span.last) {
            return true;
        }
    }
    return false;
}

/* The bars as a run plays them (plan.h): from the first of them on, as long as they follow one
 * another. */
double span_seconds(const struct eh_agenda_input *input, size_t piece, struct span span,
                    double bpm) {
    size_t count = 0;
    const struct eh_bar *bars = eh_exercise_bars(input->pieces[piece].exercise, &count);
    size_t i = 0;
    while (i < count && (bars[i].written < span.first || bars[i].written > span.last)) {
        i++;
    }
    const int32_t counted = input->count_in_bars > 0 ? input->count_in_bars : 1;
    eh_ticks ticks = i < count ? bars[i].length * counted : 0;
    for (; i < count && bars[i].written >= span.first && bars[i].written <= span.last; i++) {
        ticks += bars[i].length;
    }
    return (double)ticks / (double)EH_TICKS_PER_QUARTER * 60.0 / bpm + tail_s;
}

struct span span_cut(const struct eh_agenda_input *input, size_t piece, struct span span,
                     double bpm, double seconds, int32_t bars) {
    if (span.last - span.first >= bars) {
        span.last = span.first + bars - 1;
    }
    while (span.last > span.first && span_seconds(input, piece, span, bpm) > seconds) {
        span.last--;
    }
    return span;
}
