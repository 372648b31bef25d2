/* The demo player's own tempo in bars without a click, and its way back. */
#include <math.h>

#include "demo_row.h"
#include "evenhand/practice.h"

/* How much of an error a beat with the click leaves: players who tap to a click put right about
 * half of it with each beat (Repp 2005, Psychonomic Bulletin & Review 12, 969-992, on phase
 * correction; the share is from memory). */
static const double log_left = -0.6931471805599453;

/* He does not jump: he waits or hurries by no more than so much of a beat a beat (a guess). */
static const double most_share = 0.08;

static double beat_ns(const struct eh_plan_bar *bar) {
    return (double)(bar->end_ns - bar->at_ns) * (double)eh_beat_ticks(bar->beats, bar->unit) /
           (double)(bar->end - bar->at);
}

/* What is left of an error after so many beats with the click, of which each takes MOST_NS at most:
 * the same for ever, then less and less. */
static double come_back(double off_ns, double beats, double most_ns) {
    const double bend_ns = most_ns / -log_left;
    const double size = off_ns < 0.0 ? -off_ns : off_ns;
    const double even = size > bend_ns ? (size - bend_ns) / most_ns : 0.0;
    const double left =
        beats < even ? size - beats * most_ns
                     : (even > 0.0 ? bend_ns : size) * eh_exp_exact(log_left * (beats - even));
    return off_ns < 0.0 ? -left : left;
}

/* What IN_NS of a bar make of an error of OFF_NS at its beginning. */
static double pass_bar(const struct eh_plan_bar *bar, bool silent, double change, double in_ns,
                       double off_ns) {
    return silent ? off_ns + in_ns / (1.0 + change) - in_ns
                  : come_back(off_ns, in_ns / beat_ns(bar), most_share * beat_ns(bar));
}

double eh_demo_silent_ns(const struct eh_demo *demo, size_t due) {
    const struct eh_plan *plan = demo->plan;
    const double size = eh_demo_size(demo, EH_DEMO_OWN_TEMPO);
    const size_t here = plan->due[due].bar;
    size_t bar = here;
    double off_ns = 0.0;
    if (isnan(size) || demo->request.silent == NULL) {
        return 0.0;
    }
    while (bar > 0 && plan->bars[bar - 1].pass == plan->bars[here].pass) {
        bar--;
    }
    for (; bar <= here; bar++) {
        const struct eh_plan_bar *b = &plan->bars[bar];
        const int64_t until_ns = bar < here ? b->end_ns : plan->due[due].at_ns;
        off_ns = pass_bar(b, demo->request.silent[bar], size / 100.0, (double)(until_ns - b->at_ns),
                          off_ns);
    }
    return off_ns;
}
