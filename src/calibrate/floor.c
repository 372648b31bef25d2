/* The softest stroke that the pad reports. */
#include <math.h>

#include "parts.h"

/* So many taps say enough of a floor; fewer than the least say nothing. */
enum { ENOUGH = 12, LEAST = 8 };

/* When so many of the softest taps are missing it is the pad's floor that swallows them: a player
 * leaves one out now and then. */
static const double hidden_share = 0.10;

/* Adds the taps of all visits of a dynamic. Returns how many there are then. */
static size_t add_mark(const struct eh_calibrate_input *input, int mark, double *v, size_t n) {
    for (int32_t step = 0; step < input->course->step_count; step++) {
        const struct eh_calibrate_step *s = &input->course->steps[step];
        struct eh_taps taps;
        if (s->kind != EH_CALIBRATE_LEVEL || s->mark != mark) {
            continue;
        }
        eh_taps_gather(input, step, &taps);
        for (size_t i = 0; i < taps.count && n < EH_TAPS_ROOM; i++) {
            v[n++] = taps.taps[i].velocity;
        }
    }
    return n;
}

/* The softest taps that came: those of the softest dynamic, and of the next ones where the pad has
 * swallowed most of those. */
static size_t gather(const struct eh_calibrate_input *input, double *v) {
    size_t n = 0;
    for (int mark = 0; mark < EH_CALIBRATE_MARKS && n < ENOUGH; mark++) {
        n = add_mark(input, mark, v, n);
    }
    return n;
}

void eh_fit_floor(const struct eh_calibrate_input *input, struct eh_calibration *out) {
    const struct eh_calibrate_mark *softest = &out->marks[0];
    double v[EH_TAPS_ROOM];
    const size_t n = gather(input, v);
    out->floor = (struct eh_calibrate_figure){
        .sure = EH_CALIBRATE_UNCLEAR, .estimate = {.value = NAN, .low = NAN, .high = NAN, .n = n}};
    if (n < LEAST || softest->due == 0) {
        return;
    }
    eh_sort(v, n);
    out->pad.floor_velocity = v[0];
    out->floor.estimate.value = v[0];
    out->floor.estimate.high = v[0];
    if (softest->heard < (1.0 - hidden_share) * softest->due) {
        out->floor.sure = EH_CALIBRATE_FOUND;
        out->floor.estimate.low = fmax(eh_edge(v, n, out->velocity_step).low, 1.0);
    } else {
        out->floor.sure = EH_CALIBRATE_AT_MOST;
        out->floor.estimate.low = 1.0;
    }
}
