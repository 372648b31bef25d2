/* The constant delay from the click to the hit of a tap that was meant to be on it.
 *
 * Timing errors follow each other: what a row of taps has in common is not seen from inside the
 * row. So every step that was played to the click is cut into rows, each row gives its median, and
 * the rows, which the count-ins keep apart, give the centre and its interval (batch means;
 * Schmeiser 1982, Oper. Res. 30, 556-568: few long rows rather than many short ones). */
#include <math.h>

#include "parts.h"

/* Fewer taps than this are no row, fewer rows no delay: with five the signed ranks reach 90 %. */
enum { TAPS_LEAST = 6, ROWS_LEAST = 5, ROWS_MOST = EH_CALIBRATE_STEPS + 1 };

/* No chain of sound card, cable and pad is this late; a tap so far off was for another click. */
static const double farthest_ms = 250.0;

/* A delay that is not known more closely than so is left alone: from there on either side a player
 * would be told an offset that is none. */
static const double widest_ms = 20.0;

struct rows {
    double offset_ms[2 * EH_TAPS_ROOM]; /* of the row that is being made: up to two steps */
    size_t held;
    double centre_ms[ROWS_MOST], spread_ms[ROWS_MOST];
    size_t count, taps;
};

/* The tap nearest to each click, from beat FROM to beat TO. */
static size_t gather(const struct eh_taps *taps, int32_t from, int32_t to, double *offsets) {
    int32_t last = from;
    size_t n = 0;
    for (size_t i = 0; i < taps->count; i++) {
        const struct eh_tap *tap = &taps->taps[i];
        if (tap->beat < from || tap->beat >= to || fabs(tap->offset_ms) > farthest_ms) {
            continue;
        }
        if (n == 0 || tap->beat != last) {
            offsets[n++] = tap->offset_ms;
        } else if (fabs(tap->offset_ms) < fabs(offsets[n - 1])) {
            offsets[n - 1] = tap->offset_ms;
        }
        last = tap->beat;
    }
    return n;
}

/* Adds the taps from beat FROM to beat TO to the row that is being made. */
static void add_taps(const struct eh_taps *taps, int32_t from, int32_t to, struct rows *rows) {
    rows->held += gather(taps, from, to, rows->offset_ms + rows->held);
}

static void close_row(struct rows *rows) {
    double copy[2 * EH_TAPS_ROOM];
    const size_t n = rows->held;
    rows->held = 0;
    if (n < TAPS_LEAST || rows->count == ROWS_MOST) {
        return;
    }
    for (size_t i = 0; i < n; i++) {
        copy[i] = rows->offset_ms[i];
    }
    rows->centre_ms[rows->count] = eh_median(rows->offset_ms, n);
    rows->spread_ms[rows->count++] = eh_mad(copy, n);
    rows->taps += n;
}

/* Two steps at a dynamic are one row, the one that is only there for its time two. */
static void add_step(const struct eh_calibrate_input *input, int32_t step, struct rows *rows) {
    const struct eh_calibrate_course *course = input->course;
    const uint8_t kind = course->steps[step].kind;
    if (step >= course->span_count || (kind != EH_CALIBRATE_LEVEL && kind != EH_CALIBRATE_CLICK)) {
        return;
    }
    struct eh_taps taps;
    eh_taps_gather(input, step, &taps);
    const int32_t from = course->spans[step].first_beat;
    const int32_t to = from + course->spans[step].taps;
    if (kind == EH_CALIBRATE_LEVEL) {
        add_taps(&taps, from, to, rows);
        if (step % 2 == 1) {
            close_row(rows);
        }
        return;
    }
    const int32_t middle = from + (to - from) / 2;
    close_row(rows);
    add_taps(&taps, from, middle, rows);
    close_row(rows);
    add_taps(&taps, middle, to, rows);
    close_row(rows);
}

void eh_fit_delay(const struct eh_calibrate_input *input, struct eh_calibration *out) {
    struct rows rows = {.held = 0};
    for (int32_t step = 0; step < input->course->step_count; step++) {
        add_step(input, step, &rows);
    }
    close_row(&rows);
    out->delay_ms = (struct eh_calibrate_figure){EH_CALIBRATE_UNCLEAR, {NAN, NAN, NAN, rows.taps}};
    out->click_spread_ms = rows.count > 0 ? eh_median(rows.spread_ms, rows.count) : NAN;
    if (rows.count < ROWS_LEAST) {
        return;
    }
    struct eh_estimate *delay = &out->delay_ms.estimate;
    *delay = eh_location(rows.centre_ms, rows.count, eh_calibrate_confidence);
    delay->n = rows.taps;
    const double step_ms = (double)input->resolution_ns / (double)EH_NS_PER_MS / sqrt(12.0);
    delay->low -= eh_calibrate_z * step_ms;
    delay->high += eh_calibrate_z * step_ms;
    if (delay->high - delay->low <= 2.0 * widest_ms) {
        out->delay_ms.sure = EH_CALIBRATE_FOUND;
        out->pad.delay_ns = (int64_t)llround(delay->value * (double)EH_NS_PER_MS);
    }
}
