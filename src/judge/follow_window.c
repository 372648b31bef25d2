#include "follow_internal.h"

/* A first stroke may be this early even when the next one follows fast. */
static const int64_t early_most_ns = 80 * EH_NS_PER_MS;

/* A pass counts from half the first stroke's spacing before its first stroke to half a beat after
 * its last bar line. */
struct follow_window follow_window_of(const struct eh_plan *plan, size_t pass) {
    const size_t bars = plan->bar_count / (size_t)plan->passes;
    const struct eh_plan_bar *first = &plan->bars[pass * bars];
    const struct eh_plan_bar *last = &plan->bars[pass * bars + bars - 1];
    const struct eh_due *due = &plan->due[first->first_due];
    const int64_t half_ns = due->spacing_ns / 2;
    const int64_t beat_ns = (last->end_ns - last->at_ns) / last->beats;
    return (struct follow_window){.look_ns = due->at_ns -
                                             (half_ns > early_most_ns ? half_ns : early_most_ns),
                                  .open_ns = due->at_ns - half_ns,
                                  .close_ns = last->end_ns + beat_ns / 2};
}
