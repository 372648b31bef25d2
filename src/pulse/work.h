/* Inside the pulse: the strokes that tell of the beat, and lines through them. */
#ifndef EH_PULSE_WORK_H
#define EH_PULSE_WORK_H

#include "evenhand/pulse.h"

struct pulse_stroke {
    double at_ms;  /* when it was due */
    double off_ms; /* how late it came */
    size_t bar;    /* of the plan */
    bool on_line;  /* due on the bar line */
};

/* The beat at both ends of a stretch, before it is known how far strokes scatter about it: an
 * error is DESIGN times the scatter of a stroke. */
struct pulse_ends {
    bool known;
    size_t n;
    double drift_ms, drift_design;
    double end_ms, end_design;
};

struct pulse_work {
    const struct eh_plan *plan;
    const bool *silent;
    struct pulse_stroke *strokes; /* owned, as is all that follows; in playing order */
    size_t count;
    struct pulse_ends *ends; /* one a stretch */
    double *rests;           /* of all lines: what strokes are off them */
    size_t rest_count, lines;
    double lag_sum; /* of the lines' correlations, each times its strokes */
    double *x, *y, *scratch;

    /* What the rests say. */
    double scatter_ms; /* NAN: too few strokes */
    double widen;      /* what their correlation makes of an error */
    double quantile;   /* Student's, for the intervals */
};

/* Fills WORK->strokes: main strokes that found a hit, but for second ones of doubles. */
void pulse_strokes(struct pulse_work *work, const struct eh_match *matches,
                   const struct eh_hit *hits);

/* The strokes [FROM, TO) of a stretch of COUNT bars from FIRST on, the one on the next bar line
 * included. */
void pulse_stretch_strokes(const struct pulse_work *work, size_t first, size_t count,
                           size_t *out_from, size_t *out_to);

/* The ends of such a stretch; adds its lines' rests to WORK. */
struct pulse_ends pulse_ends(struct pulse_work *work, size_t first, size_t count);

/* Fills what the rests say, once all stretches were looked at. */
void pulse_scatter(struct pulse_work *work);

/* VALUE with the interval of an error of DESIGN strokes' scatters. */
struct eh_estimate pulse_estimate(const struct pulse_work *work, double value, double design,
                                  size_t n);

/* Fills usual_ms and the bars of PULSE. */
void pulse_bars(struct pulse_work *work, struct eh_pulse *pulse);

/* Fills beats_back of a stretch whose return is known. */
void pulse_back(const struct pulse_work *work, const struct eh_pulse *pulse,
                struct eh_pulse_stretch *stretch);

/* Fills the lengths, held_bars and lost_bars from the stretches. */
void pulse_lengths(const struct pulse_work *work, struct eh_pulse *pulse);

/* Where an estimate of a drift lies. */
enum eh_pulse_verdict pulse_verdict(const struct eh_estimate *drift_ms, double tolerance_ms);

#endif
