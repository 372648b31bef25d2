/* A pad out of what was played. */
#include "parts.h"

static void take_top(struct eh_calibration *out) {
    if (out->top.sure == EH_CALIBRATE_FOUND) {
        out->pad.top_velocity = out->top.estimate.value;
    }
}

void eh_calibrate_fit(const struct eh_calibrate_input *input, struct eh_calibration *out) {
    *out = (struct eh_calibration){.pad = *input->pad};
    eh_fit_levels(input, out);
    take_top(out);
    eh_fit_floor(input, out);
    eh_fit_echoes(input, out);
    eh_fit_mask(input, out);
    eh_fit_delay(input, out);
}
