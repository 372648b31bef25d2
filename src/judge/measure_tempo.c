/* Tempo: how much faster than the click the player is at the end. */
#include "measure.h"

#include <math.h>

#include "verdict.h"

/* Fewer strokes in a stretch say nothing about its tempo; fewer in all, nothing about the run's. */
enum { STRETCH_LEAST = 12, RUN_LEAST = 32 };

/* Strokes of one stretch: offsets over time scaled to 0 .. 1. */
struct stretch {
    size_t n;
    double length_ms;
};

static bool counts(const struct measures *m, size_t i) {
    return m->row[i].beat && m->row[i].matched;
}

static struct stretch lay(struct measures *m, size_t from, size_t to) {
    struct stretch s = {0, 0.0};
    size_t first = from;
    size_t last = from;
    for (size_t i = from; i < to; i++) {
        if (counts(m, i)) {
            first = s.n == 0 ? i : first;
            last = i;
            m->b[s.n] = m->row[i].off_ms;
            m->a[s.n++] = m->row[i].at_ms;
        }
    }
    s.length_ms = s.n > 1 ? m->row[last].at_ms - m->row[first].at_ms : 0.0;
    for (size_t k = 0; k < s.n && s.length_ms > 0.0; k++) {
        m->a[k] = (m->a[k] - m->row[first].at_ms) / s.length_ms;
    }
    return s;
}

/* What players do, as standard deviations of the tempo at the start and of its change, percent:
 * nearly all start with the click, which they have just heard counted in, and some of them drift; a
 * few take another tempo and keep it although the click goes on; the rest do anything (common
 * practice, no source). In a stretch of two bars, in which a curve's start and end can hardly be
 * told apart, this decides much; in one of eight hardly anything. */
static const struct {
    double weight, start_percent, change_percent;
} habits[] = {{0.93, 0.5, 8.0}, {0.02, 5.0, 0.5}, {0.05, 5.0, 8.0}};

enum { HABITS = sizeof habits / sizeof habits[0] };

/* The tempo of a player whose offset grows by SLOPE, percent faster than the click. */
static double faster(double slope) {
    return 100.0 * (1.0 / (1.0 + slope) - 1.0);
}

/* Percent faster than the click at the end of a stretch; NAN where nothing can be said. A curve,
 * not a line: who starts with the click and gets faster evenly is twice as fast at the end as on
 * the whole. */
static struct eh_estimate end_tempo(struct measures *m, const struct stretch *s) {
    static const double slope_at_end[3] = {0.0, 1.0, 2.0};
    struct eh_belief beliefs[HABITS];
    for (int k = 0; k < HABITS; k++) {
        double percent = s->length_ms / 100.0; /* offsets move by so much over the stretch */
        beliefs[k] = (struct eh_belief){habits[k].weight, habits[k].start_percent * percent,
                                        habits[k].change_percent * percent / 2.0};
    }
    /* m->c and m->d lie side by side: together they are the fit's room. */
    struct eh_estimate e = eh_wander_believe(m->a, m->b, s->n, slope_at_end, beliefs, HABITS,
                                             MEASURE_CONFIDENCE, m->c);
    const double least = e.low / s->length_ms; /* early: the fastest that it may be */
    return (struct eh_estimate){least > -0.5 ? faster(e.value / s->length_ms) : NAN,
                                faster(e.high / s->length_ms), faster(least), s->n};
}

/* Stretches (passes) count by what they know: strokes times length squared. */
static struct eh_estimate drift(struct measures *m) {
    struct eh_estimate sum = {0.0, 0.0, 0.0, 0}; /* low and high: squares of weighted distances */
    double weights = 0.0;
    for (size_t from = 0; from < m->count;) {
        size_t to = from + 1;
        while (to < m->count && m->row[to].stretch == m->row[from].stretch) {
            to++;
        }
        const struct stretch s = lay(m, from, to);
        if (s.n >= STRETCH_LEAST && s.length_ms > 0.0) {
            const struct eh_estimate e = end_tempo(m, &s);
            const double weight = (double)s.n * s.length_ms * s.length_ms;
            if (isfinite(e.value) && isfinite(e.low) && isfinite(e.high)) {
                sum.value += weight * e.value;
                sum.low += pow(weight * (e.value - e.low), 2.0);
                sum.high += pow(weight * (e.high - e.value), 2.0);
                sum.n += s.n;
                weights += weight;
            }
        }
        from = to;
    }
    if (!(weights > 0.0)) {
        return (struct eh_estimate){NAN, NAN, NAN, 0};
    }
    const double value = sum.value / weights;
    return (struct eh_estimate){value, value - sqrt(sum.low) / weights,
                                value + sqrt(sum.high) / weights, sum.n};
}

static void say_tempo(struct eh_finding *f, const struct verdict_call *call) {
    struct verdict_words w = verdict_say(f);
    if (!isfinite(f->value)) {
        say(&w, "tempo: too few strokes in a row to say");
        return;
    }
    say(&w, f->direction == EH_DIRECTION_RUSHING    ? "you rush: "
            : f->direction == EH_DIRECTION_DRAGGING ? "you drag: "
                                                    : "");
    say(&w, "at the end the tempo is ");
    say_number(&w, fabs(f->value), 1);
    say(&w, f->value >= 0.0 ? " % faster" : " % slower");
    say(&w, " than the click, where ");
    say_number(&w, f->limit_high, 1);
    say(&w, " % would be fine");
    say_basis(&w, "stroke", "strokes");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "%");
    }
}

void measure_tempo(struct measures *m) {
    m->out->drift_percent = NAN;
    if (m->census.beats[0] + m->census.beats[1] < 2) {
        return;
    }
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_TEMPO, EH_SIDE_BOTH);
    struct eh_estimate e = drift(m);
    double limit = m->style->drift_percent;
    struct verdict_call call = verdict_place(&e, -limit, limit, RUN_LEAST);
    m->out->drift_percent = e.value;
    verdict_numbers(f, &e, -limit, limit, "percent");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_STEADY);
    } else if (call.place != PLACE_UNKNOWN) {
        bool fast = call.place == PLACE_ABOVE;
        verdict_fault(f, EH_VERDICT_DRIFTING, fast ? EH_DIRECTION_RUSHING : EH_DIRECTION_DRAGGING);
    }
    say_tempo(f, &call);
}
