/* The demo player's tempo: its own, its drift, its rubato. */
#include <math.h>

#include "demo_row.h"

/* A wave of the tempo: so many of the first bar. */
static const double wave_bars = 8.0;

static double signed_share(const struct eh_demo *demo, enum eh_demo_fault_kind plus,
                           enum eh_demo_fault_kind minus) {
    const double faster = eh_demo_size(demo, plus);
    const double slower = eh_demo_size(demo, minus);
    return !isnan(faster) ? faster / 100.0 : !isnan(slower) ? -slower / 100.0 : 0.0;
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

double eh_demo_bend(const struct eh_demo *demo, double u_ns, double length_ns) {
    const double change = signed_share(demo, EH_DEMO_RUSHING, EH_DEMO_DRAGGING);
    const double own = signed_share(demo, EH_DEMO_FASTER, EH_DEMO_SLOWER);
    const double bent = u_ns <= 0.0 ? u_ns : drift(rubato(demo, u_ns), length_ns, change);
    return bent / (1.0 + own);
}
