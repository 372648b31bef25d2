/* Second strokes that come too soon or too softly to be reported. */
#include <math.h>

#include "parts.h"

/* Fewer second strokes than this draw no line. */
enum { SECONDS_LEAST = 10, SLOPE_LEAST = 20 };

/* When fewer than this share of a step's second strokes is missing nothing was surely kept back: a
 * player leaves one out now and then. */
enum { HIDDEN_LEAST = 3 };
static const double hidden_share = 0.10;

/* One second stroke in twenty may be an accident of the pad's that says nothing about its mask. */
static const double stray_share = 0.05;

/* Where the line is told: in the middle of the gaps that are played. */
static const double told_ms = EH_CALIBRATE_MASK_TOLD_MS;

/* The line falls with the gap by no more than this, dB a ms; professional material has 0.21 (Groove
 * MIDI Dataset 1.0.0, measured). A slope is looked for where the gaps span so much. */
static const double steepest = 0.6;
static const double gaps_span_ms = 20.0;
enum { SLOPES = 60 };

/* A dead time is never longer than this: 32nds at 240 to the minute are 31 ms apart. */
static const double dead_most_ms = 60.0;

static const double gap_edges_ms[EH_CALIBRATE_GAPS + 1] = {0, 10, 15, 20, 30, 40, 60, 90, 200};

struct seconds {
    double gap_ms[2 * EH_TAPS_ROOM];  /* rising */
    double step_db[2 * EH_TAPS_ROOM]; /* second less first */
    size_t count;
    bool close_hides, double_hides; /* of that step too many are missing */
};

static double ms(int64_t ns) {
    return (double)ns / (double)EH_NS_PER_MS;
}

static void add_second(struct seconds *seconds, double gap_ms, double step_db) {
    size_t k = seconds->count++;
    for (; k > 0 && seconds->gap_ms[k - 1] > gap_ms; k--) {
        seconds->gap_ms[k] = seconds->gap_ms[k - 1];
        seconds->step_db[k] = seconds->step_db[k - 1];
    }
    seconds->gap_ms[k] = gap_ms;
    seconds->step_db[k] = step_db;
}

/* Whether the step's pairs show that the pad keeps seconds back. */
static bool add_step(const struct eh_calibrate_input *input, int32_t step, struct seconds *seconds,
                     struct eh_calibration *out) {
    struct eh_pairs pairs = {0};
    eh_pairs_gather(input, step, &pairs);
    for (size_t i = 0; i < pairs.count; i++) {
        const struct eh_echo *pair = &pairs.seen[i];
        add_second(seconds, pair->gap_ms,
                   eh_pad_level_db(&out->pad, pair->second) -
                       eh_pad_level_db(&out->pad, pair->first));
    }
    const uint32_t hidden = pairs.due - (uint32_t)pairs.count;
    out->pairs += pairs.due;
    out->hidden += hidden;
    return hidden >= HIDDEN_LEAST && hidden >= hidden_share * pairs.due;
}

static void tell_gaps(const struct seconds *seconds, struct eh_calibration *out) {
    for (size_t g = 0; g < EH_CALIBRATE_GAPS; g++) {
        struct eh_calibrate_gap *gap = &out->gaps[g];
        *gap = (struct eh_calibrate_gap){
            .from_ms = gap_edges_ms[g], .to_ms = gap_edges_ms[g + 1], .softest_db = NAN};
        double steps[2 * EH_TAPS_ROOM];
        for (size_t i = 0; i < seconds->count; i++) {
            if (seconds->gap_ms[i] >= gap->from_ms && seconds->gap_ms[i] < gap->to_ms) {
                steps[gap->n++] = seconds->step_db[i];
            }
        }
        if (gap->n > 0) {
            eh_sort(steps, gap->n);
            gap->softest_db = steps[gap->n >= SECONDS_LEAST ? 1 : 0];
        }
    }
}

/* The heights of the seconds above a line through 0 that falls with SLOPE, rising, for those that
 * the mask may have been at work on. */
static size_t heights(const struct eh_calibrate_input *input, const struct seconds *seconds,
                      double slope, double *out_heights) {
    const double from = ms(input->pad->mask_dead_ns);
    const double to = ms(input->pad->mask_until_ns);
    size_t n = 0;
    for (size_t i = 0; i < seconds->count; i++) {
        if (seconds->gap_ms[i] >= from && seconds->gap_ms[i] <= to) {
            out_heights[n++] = seconds->step_db[i] + slope * seconds->gap_ms[i];
        }
    }
    eh_sort(out_heights, n);
    return n;
}

static size_t strays_of(size_t n) {
    return (size_t)(stray_share * (double)n);
}

/* Koenker's check loss of the line that leaves the strays below it. */
static double check_loss(const double *v, size_t n) {
    double loss = 0;
    for (size_t i = 0; i < n; i++) {
        const double above = v[i] - v[strays_of(n)];
        loss += above >= 0 ? stray_share * above : (stray_share - 1.0) * above;
    }
    return loss;
}

/* Quantile regression (Koenker & Bassett 1978, Econometrica 46, 33-50) over a row of slopes; the
 * pad's old slope where the gaps do not span enough. */
static double find_slope(const struct eh_calibrate_input *input, const struct seconds *seconds,
                         bool *out_found) {
    double v[2 * EH_TAPS_ROOM];
    const size_t n = heights(input, seconds, 0.0, v);
    *out_found = n >= SLOPE_LEAST &&
                 seconds->gap_ms[seconds->count - 1] - seconds->gap_ms[0] >= gaps_span_ms;
    double best = input->pad->mask_db_per_ms;
    double least = HUGE_VAL;
    for (int i = 0; *out_found && i <= SLOPES; i++) {
        const double slope = steepest * i / SLOPES;
        (void)heights(input, seconds, slope, v);
        const double loss = check_loss(v, n);
        if (loss < least) {
            least = loss;
            best = slope;
        }
    }
    return best;
}

/* Without a sign of a mask the old one is lowered as far as it is refuted. */
static void lower_mask(const struct eh_calibrate_input *input, const struct seconds *seconds,
                       struct eh_calibration *out) {
    double v[2 * EH_TAPS_ROOM];
    const size_t n = heights(input, seconds, out->pad.mask_db_per_ms, v);
    out->mask_db.sure = EH_CALIBRATE_AT_MOST;
    out->pad.mask_db = fmin(out->pad.mask_db, v[strays_of(n)]);
}

/* The line at one gap. What is uncertain about the map's dB is so here. */
static struct eh_estimate tell_mask(const struct eh_estimate *edge, double told_db,
                                    const struct eh_calibration *out) {
    const double stretch = eh_calibrate_z * out->pad.levels.scale_sd * told_db;
    const double below = edge->value - edge->low;
    const double above = edge->high - edge->value;
    return (struct eh_estimate){told_db, told_db - sqrt(below * below + stretch * stretch),
                                told_db + sqrt(above * above + stretch * stretch), edge->n};
}

/* Where double strokes are missing below the line it is the mask's. */
static void fit_mask(const struct eh_calibrate_input *input, const struct seconds *seconds,
                     struct eh_calibration *out) {
    double v[2 * EH_TAPS_ROOM];
    bool slope_found = false;
    const double slope = find_slope(input, seconds, &slope_found);
    const size_t n = heights(input, seconds, slope, v);
    const size_t strays = strays_of(n);
    if (n < SECONDS_LEAST) {
        return;
    }
    const struct eh_estimate edge = eh_edge(v + strays, n - strays, 0.0);
    out->mask_db.estimate = tell_mask(&edge, edge.value - slope * told_ms, out);
    out->mask_slope.estimate.value = slope;
    if (!seconds->double_hides) {
        lower_mask(input, seconds, out);
        return;
    }
    out->mask_db.sure = EH_CALIBRATE_FOUND;
    out->mask_slope.sure = slope_found ? EH_CALIBRATE_FOUND : EH_CALIBRATE_UNCLEAR;
    out->pad.mask_db = edge.value;
    out->pad.mask_db_per_ms = slope;
}

/* Whether the mask thins out the seconds at GAP: its line lies above the softer ones that came. */
static bool is_masked(const struct seconds *seconds, const struct eh_pad *pad, double gap_ms) {
    double v[2 * EH_TAPS_ROOM];
    for (size_t i = 0; i < seconds->count; i++) {
        v[i] = seconds->step_db[i];
    }
    eh_sort(v, seconds->count);
    return pad->mask_db - pad->mask_db_per_ms * gap_ms > eh_quantile(v, seconds->count, 0.25);
}

/* The nearest seconds that came. Where the mask hides near ones anyway, no dead time is seen. */
static void fit_dead_time(const struct eh_calibrate_input *input, const struct seconds *seconds,
                          struct eh_calibration *out) {
    double gaps[2 * EH_TAPS_ROOM];
    size_t n = 0;
    for (size_t i = 0; i < seconds->count; i++) {
        if (seconds->step_db[i] < input->pad->mask_dead_db && seconds->gap_ms[i] <= dead_most_ms) {
            gaps[n++] = seconds->gap_ms[i];
        }
    }
    if (n < SECONDS_LEAST) {
        return;
    }
    const struct eh_estimate edge = eh_edge(gaps, n, 0.0);
    const double old_ms = ms(input->pad->mask_dead_ns);
    const bool seen =
        seconds->close_hides && edge.low > old_ms && !is_masked(seconds, &out->pad, edge.value);
    out->dead_ms.sure = seen ? EH_CALIBRATE_FOUND : EH_CALIBRATE_AT_MOST;
    out->dead_ms.estimate = seen ? edge : (struct eh_estimate){gaps[0], 0.0, gaps[0], n};
    if (seen || gaps[0] < old_ms) {
        out->pad.mask_dead_ns =
            (int64_t)llround(out->dead_ms.estimate.value * (double)EH_NS_PER_MS);
    }
}

void eh_fit_mask(const struct eh_calibrate_input *input, struct eh_calibration *out) {
    struct seconds seconds = {.count = 0};
    for (int32_t step = 0; step < input->course->step_count; step++) {
        const uint8_t kind = input->course->steps[step].kind;
        if (kind == EH_CALIBRATE_CLOSE) {
            seconds.close_hides = add_step(input, step, &seconds, out);
        } else if (kind == EH_CALIBRATE_DOUBLE) {
            seconds.double_hides = add_step(input, step, &seconds, out);
        }
    }
    const struct eh_estimate unknown = {NAN, NAN, NAN, seconds.count};
    out->dead_ms = out->mask_db = out->mask_slope =
        (struct eh_calibrate_figure){EH_CALIBRATE_UNCLEAR, unknown};
    tell_gaps(&seconds, out);
    if (seconds.count > 0) {
        fit_mask(input, &seconds, out);
        fit_dead_time(input, &seconds, out);
    }
}
