/* Stretches of one length together: up to where the beat holds. */
#include <math.h>

#include "work.h"

enum eh_pulse_verdict pulse_verdict(const struct eh_estimate *drift_ms, double tolerance_ms) {
    if (drift_ms->high < -tolerance_ms) {
        return EH_PULSE_RUSHED;
    }
    if (drift_ms->low > tolerance_ms) {
        return EH_PULSE_DRAGGED;
    }
    return drift_ms->low >= -tolerance_ms && drift_ms->high <= tolerance_ms ? EH_PULSE_HELD
                                                                            : EH_PULSE_UNCLEAR;
}

/* The shortest length above BARS; 0: none. */
static size_t next_length(const struct eh_pulse *pulse, size_t bars) {
    size_t next = 0;
    for (size_t i = 0; i < pulse->stretch_count; i++) {
        const size_t here = pulse->stretches[i].bar_count;
        next = here > bars && (next == 0 || here < next) ? here : next;
    }
    return next;
}

static void count(struct eh_pulse_length *length, const struct eh_pulse_stretch *stretch) {
    length->stretches++;
    length->rushed += stretch->verdict == EH_PULSE_RUSHED;
    length->dragged += stretch->verdict == EH_PULSE_DRAGGED;
    length->held += stretch->verdict == EH_PULSE_HELD;
}

static struct eh_pulse_length together(const struct pulse_work *work, const struct eh_pulse *pulse,
                                       size_t bars) {
    struct eh_pulse_length out = {.bars = bars};
    double drift = 0.0;
    double squares = 0.0;
    double length = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < pulse->stretch_count; i++) {
        const struct eh_pulse_stretch *s = &pulse->stretches[i];
        if (s->bar_count != bars || !work->ends[i].known) {
            continue;
        }
        count(&out, s);
        drift += work->ends[i].drift_ms;
        squares += work->ends[i].drift_design * work->ends[i].drift_design;
        length += s->length_ms;
        out.tolerance_ms += s->tolerance_ms;
        n += work->ends[i].n;
    }
    const double k = (double)out.stretches;
    out.drift_ms = pulse_estimate(work, drift / k, sqrt(squares) / k, n);
    out.tempo_percent = (struct eh_estimate){eh_pulse_percent(out.drift_ms.value, length / k),
                                             eh_pulse_percent(out.drift_ms.high, length / k),
                                             eh_pulse_percent(out.drift_ms.low, length / k), n};
    out.tolerance_ms /= k;
    out.verdict = (uint8_t)pulse_verdict(&out.drift_ms, out.tolerance_ms);
    if (out.verdict == EH_PULSE_HELD && out.rushed + out.dragged > 0) {
        out.verdict = EH_PULSE_UNCLEAR; /* once this way, once that */
    }
    return out;
}

/* Up to the first length that was surely lost; one that is unclear proves nothing either way. */
static void find_reach(struct eh_pulse *pulse) {
    for (size_t i = 0; i < pulse->length_count; i++) {
        const struct eh_pulse_length *length = &pulse->lengths[i];
        if (length->verdict == EH_PULSE_RUSHED || length->verdict == EH_PULSE_DRAGGED) {
            pulse->lost_bars = length->bars;
            return;
        }
        pulse->held_bars = length->verdict == EH_PULSE_HELD ? length->bars : pulse->held_bars;
    }
}

void pulse_lengths(const struct pulse_work *work, struct eh_pulse *pulse) {
    size_t bars = next_length(pulse, 0);
    while (bars > 0 && pulse->length_count < EH_PULSE_LENGTHS_MAX) {
        pulse->lengths[pulse->length_count++] = together(work, pulse, bars);
        bars = next_length(pulse, bars);
    }
    find_reach(pulse);
}
