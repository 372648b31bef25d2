/* The demo player's tempo: its own, its drift, its rubato. */
#include <math.h>

#include "demo_row.h"

/* A wave of the tempo: so many of the first bar. */
static const double wave_bars = 8.0;

/* A stretch of time, ns from a beginning. */
struct stretch {
    double from, to;
};

/* From where to where on the span that begins at AT_NS a fault of tempo shows, counted from there:
 * the bars that it names, the first time that they come. False: they do not come. */
static bool find_stretch(const struct eh_demo *demo, const struct eh_demo_fault *fault,
                         int64_t at_ns, struct stretch *out) {
    const struct eh_plan *plan = demo->plan;
    size_t i = 0;
    while (i < plan->bar_count &&
           (plan->bars[i].at_ns < at_ns || !eh_demo_fault_in_bar(fault, plan->bars[i].written))) {
        i++;
    }
    if (i == plan->bar_count) {
        return false;
    }
    out->from = (double)(plan->bars[i].at_ns - at_ns);
    while (i + 1 < plan->bar_count && plan->bars[i + 1].pass == plan->bars[i].pass &&
           eh_demo_fault_in_bar(fault, plan->bars[i + 1].written)) {
        i++;
    }
    out->to = (double)(plan->bars[i].end_ns - at_ns);
    return true;
}

/* Where the tempo changes evenly, so that the end is played at 1 + CHANGE times the beginning's. */
static double drift(double u, double length, double change) {
    return u - change / (1.0 + change) * u * u / (2.0 * length);
}

/* How far time is ahead in a wave, at place X of it from 0 to 1: the integral of two parabolas, 1
 * at a quarter and -1 at three quarters, which is a sine to within 6 % of its height; made of
 * products only, so that every machine gets the same. */
static double wave(double x) {
    const double y = x < 0.5 ? x : x - 0.5;
    const double half = 16.0 * (y * y / 4.0 - y * y * y / 3.0);
    return x < 0.5 ? half : 1.0 / 3.0 - half;
}

static double rubato(const struct eh_demo *demo, double u) {
    const double size = eh_demo_size(demo, EH_DEMO_RUBATO);
    const struct eh_plan_bar *bar = &demo->plan->bars[0];
    const double whole = 4.0 * (double)EH_TICKS_PER_QUARTER * bar->beats / bar->unit;
    const double length =
        wave_bars * whole * (double)(bar->end_ns - bar->at_ns) / (double)(bar->end - bar->at);
    if (isnan(size) || u <= 0.0) {
        return u;
    }
    return u - size / 100.0 * length * wave(u / length - floor(u / length));
}

/* Where FAULT bends what is meant at U to; DRIFTS: the tempo changes evenly through the stretch by
 * CHANGE and stays there, else it is another one there and the old one after it. */
static double bend_in(const struct stretch *s, double u, double change, bool drifts) {
    const double length = s->to - s->from;
    const double in = u < s->to ? u - s->from : length;
    const double after = u < s->to ? 0.0 : u - s->to;
    if (u <= s->from) {
        return u;
    }
    return s->from + (drifts ? drift(in, length, change) + after / (1.0 + change)
                             : in / (1.0 + change) + after);
}

/* How much faster a fault of tempo is, as a share; 0: it is none. */
static double change_of(const struct eh_demo_fault *fault) {
    switch (fault->kind) {
    case EH_DEMO_RUSHING:
    case EH_DEMO_FASTER:
        return fault->size / 100.0;
    case EH_DEMO_DRAGGING:
    case EH_DEMO_SLOWER:
        return -fault->size / 100.0;
    default:
        return 0.0;
    }
}

double eh_demo_bend(const struct eh_demo *demo, int64_t at_ns, double u_ns, double length_ns) {
    double bent = rubato(demo, u_ns);
    double own = 0.0;
    for (size_t i = 0; i < demo->request.fault_count; i++) {
        const struct eh_demo_fault *fault = &demo->request.faults[i];
        const double change = change_of(fault);
        const bool drifts = fault->kind == EH_DEMO_RUSHING || fault->kind == EH_DEMO_DRAGGING;
        struct stretch where = {0.0, length_ns};
        if (change == 0.0) {
            continue;
        }
        if (fault->first_bar == 0 && !drifts) {
            own = own == 0.0 ? change : own;
        } else if (fault->first_bar == 0) {
            bent = bent <= 0.0 ? bent : drift(bent, length_ns, change);
        } else if (find_stretch(demo, fault, at_ns, &where)) {
            bent = bend_in(&where, bent, change, drifts);
        }
    }
    return bent / (1.0 + own);
}
