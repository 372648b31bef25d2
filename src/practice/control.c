#include "evenhand/control.h"

static bool is_quiet(const struct eh_control_watch *watch, int64_t at_ns) {
    return !watch->any_stroke || at_ns - watch->stroke_ns >= EH_CONTROL_QUIET_NS;
}

/* The second hit of two. A third within an echo's time of the first changes nothing. */
static bool is_second(const struct eh_control_watch *watch, enum eh_control control,
                      int64_t at_ns) {
    const int64_t since_ns = at_ns - watch->pending_ns;
    return watch->pending == control && since_ns >= EH_CONTROL_TWICE_LEAST_NS &&
           since_ns <= EH_CONTROL_TWICE_MOST_NS;
}

enum eh_control eh_control_feed(struct eh_control_watch *watch, const struct eh_pad *pad,
                                const struct eh_hit *hit, bool resting) {
    const enum eh_control control = eh_pad_control(pad, hit->note);
    if (eh_pad_owns(pad, hit->note)) {
        watch->any_stroke = true;
        watch->stroke_ns = hit->at_ns;
        watch->pending = EH_CONTROL_NONE;
        return EH_CONTROL_NONE;
    }
    if (control == EH_CONTROL_NONE || !is_quiet(watch, hit->at_ns)) {
        return EH_CONTROL_NONE;
    }
    if (resting || is_second(watch, control, hit->at_ns)) {
        watch->pending = EH_CONTROL_NONE;
        return control;
    }
    if (watch->pending != control || hit->at_ns - watch->pending_ns > EH_CONTROL_TWICE_MOST_NS) {
        watch->pending = control;
        watch->pending_ns = hit->at_ns;
    }
    return EH_CONTROL_NONE;
}
