/* Where the beat is while the click sounds, and how soon it is there again. */
#include <math.h>

#include "evenhand/practice.h"
#include "work.h"

/* How far a bar is from the silence: nobody has drifted yet before the first silence of a pass; in
 * the bar after a silence the player is still on his way back. */
enum distance { AFTER_SILENCE, SETTLED, UNTOUCHED };

static enum distance distance_of(const struct pulse_work *work, size_t bar) {
    const struct eh_plan_bar *bars = work->plan->bars;
    size_t before = bar;
    while (before > 0 && !work->silent[before] && bars[before - 1].pass == bars[bar].pass) {
        before--;
    }
    return !work->silent[before] ? UNTOUCHED : bar - before == 1 ? AFTER_SILENCE : SETTLED;
}

/* Of the strokes with a click, as far from the silence as there are any. */
static double usual(struct pulse_work *work) {
    for (int least = UNTOUCHED; least >= AFTER_SILENCE; least--) {
        size_t n = 0;
        for (size_t i = 0; i < work->count; i++) {
            const size_t bar = work->strokes[i].bar;
            if (!work->silent[bar] && (int)distance_of(work, bar) >= least) {
                work->y[n++] = work->strokes[i].off_ms;
            }
        }
        if (n >= EH_PULSE_STROKES_LEAST) {
            return eh_median(work->y, n);
        }
    }
    return NAN;
}

void pulse_bars(struct pulse_work *work, struct eh_pulse *pulse) {
    size_t i = 0;
    for (size_t bar = 0; bar < pulse->bar_count; bar++) {
        size_t n = 0;
        for (; i < work->count && work->strokes[i].bar == bar; i++) {
            work->y[n++] = work->strokes[i].off_ms;
        }
        pulse->bars[bar] = (struct eh_pulse_bar){.offset_ms = n > 0 ? eh_median(work->y, n) : NAN,
                                                 .silent = work->silent[bar]};
    }
    pulse->usual_ms = usual(work);
}

static double beat_ms(const struct eh_plan_bar *bar) {
    return (double)(bar->end_ns - bar->at_ns) / (double)EH_NS_PER_MS *
           (double)eh_beat_ticks(bar->beats, bar->unit) / (double)(bar->end - bar->at);
}

/* The last bar with a click before the next silence or the end of the pass. */
static size_t sounding_end(const struct pulse_work *work, size_t bar) {
    const struct eh_plan *plan = work->plan;
    size_t end = bar;
    while (end < plan->bar_count && !work->silent[end] &&
           plan->bars[end].pass == plan->bars[bar].pass) {
        end++;
    }
    return end;
}

static bool is_back(const struct pulse_work *work, double off_ms, double least_ms, size_t n) {
    const double scatter = work->quantile * work->widen * work->scatter_ms / sqrt((double)n);
    const double most = isfinite(scatter) && scatter > least_ms ? scatter : least_ms;
    return fabs(off_ms) <= most;
}

void pulse_back(const struct pulse_work *work, const struct eh_pulse *pulse,
                struct eh_pulse_stretch *stretch) {
    const size_t bar = stretch->first_bar + stretch->bar_count;
    const struct eh_plan_bar *first = &work->plan->bars[bar];
    const double beat = beat_ms(first);
    const double back_ms = fmax(EH_PULSE_BACK_LEAST_MS, EH_PULSE_BACK_SHARE * beat);
    const double line_ms = (double)first->at_ns / (double)EH_NS_PER_MS;
    const size_t end = sounding_end(work, bar);
    stretch->beats_back = EH_PULSE_NOT_BACK;
    if (fabs(stretch->return_ms.value) <= back_ms) {
        stretch->beats_back = 0;
        return;
    }
    for (size_t i = 0; i < work->count;) {
        const double number = floor((work->strokes[i].at_ms - line_ms) / beat + 1e-6);
        size_t n = 0;
        double sum = 0.0;
        for (; i < work->count && floor((work->strokes[i].at_ms - line_ms) / beat + 1e-6) == number;
             i++, n++) {
            sum += work->strokes[i].off_ms - pulse->usual_ms;
        }
        const size_t here = work->strokes[i - 1].bar;
        if (here >= bar && here < end && number >= 1.0 &&
            is_back(work, sum / (double)n, back_ms, n)) {
            stretch->beats_back = (int32_t)number;
            return;
        }
    }
}
