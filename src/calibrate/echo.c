/* Echoes: softer notes that follow a single stroke. */
#include <math.h>

#include "parts.h"

/* So many echoes, and so many of a hundred strokes, are a habit of the pad and no accident. */
enum { ECHOES_LEAST = 3 };
static const double echoes_share = 0.02;

/* The next echo may come a tenth later and a decibel louder than the ones that came. */
static const double later = 1.1;
static const double louder_db = 1.0;

/* What is not softer at all is rather a stroke than an echo. */
static const double softer_least_db = 1.0;

struct echoes {
    double latest_ms, least_db; /* softer than its stroke by at least */
};

static void add_step(const struct eh_calibrate_input *input, int32_t step, struct echoes *echoes,
                     struct eh_calibration *out) {
    struct eh_taps taps;
    eh_taps_gather(input, step, &taps);
    out->singles += (uint32_t)taps.count;
    out->echoes += (uint32_t)taps.echo_count;
    for (size_t i = 0; i < taps.echo_count; i++) {
        const struct eh_echo *echo = &taps.echoes[i];
        const double softer =
            eh_pad_level_db(&out->pad, echo->first) - eh_pad_level_db(&out->pad, echo->second);
        echoes->latest_ms = fmax(echoes->latest_ms, echo->gap_ms);
        echoes->least_db = fmin(echoes->least_db, softer);
    }
}

void eh_fit_echoes(const struct eh_calibrate_input *input, struct eh_calibration *out) {
    struct echoes echoes = {0, HUGE_VAL};
    for (int32_t step = 0; step < input->course->step_count; step++) {
        const uint8_t kind = input->course->steps[step].kind;
        if (kind == EH_CALIBRATE_LEVEL || kind == EH_CALIBRATE_CLICK) {
            add_step(input, step, &echoes, out);
        }
    }
    const bool habit = out->echoes >= ECHOES_LEAST && out->echoes >= echoes_share * out->singles;
    const uint8_t sure = habit              ? EH_CALIBRATE_FOUND
                         : out->echoes == 0 ? EH_CALIBRATE_AT_MOST
                                            : EH_CALIBRATE_UNCLEAR;
    const struct eh_estimate none = {NAN, NAN, NAN, out->echoes};
    out->echo_ms = (struct eh_calibrate_figure){sure, none};
    out->echo_db = (struct eh_calibrate_figure){sure, none};
    if (out->echoes > 0) {
        out->echo_ms.estimate.value = echoes.latest_ms;
        out->echo_db.estimate.value = echoes.least_db;
    }
    if (habit) {
        const double late_ms =
            fmax(later * echoes.latest_ms, (double)out->pad.retrigger_ns / (double)EH_NS_PER_MS);
        out->pad.retrigger_late_ns = (int64_t)llround(late_ms * (double)EH_NS_PER_MS);
        out->pad.retrigger_softer_db = fmax(echoes.least_db - louder_db, softer_least_db);
    }
}
