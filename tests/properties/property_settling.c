#include "following.h"
#include "property.h"

/* How often the time is said, as a live run says it. */
static const int64_t step_ns = 10 * EH_NS_PER_MS;

static int64_t later(int64_t a, int64_t b) {
    return a > b ? a : b;
}

/* The follower knows the player's offset by estimate only, and on several paths at once. */
static const int64_t slack_ns = 50 * EH_NS_PER_MS;

/* How late stroke DUE may be settled for a player who is LATE_NS behind the click at most. Grace
 * notes are settled with their main stroke. */
static int64_t deadline_ns(const struct eh_plan *plan, size_t due, int64_t late_ns) {
    const struct eh_due *main = &plan->due[plan->due[due].main];
    return late_ns + slack_ns + later(main->at_ns + EH_NS_PER_S, plan->bars[main->bar].end_ns);
}

/* How far behind the click the player ever was. -1: he left the written way, so that strokes are
 * due for him when he comes to them, which the click does not say. */
static int64_t most_late_ns(const struct sample *sample) {
    struct following f;
    int64_t most = 0;
    (void)following_begin(&f, sample);
    for (size_t i = 0; i < sample->take.count; i++) {
        (void)eh_follower_feed(f.follower, i);
    }
    following_end(&f);
    for (size_t i = 0; i < f.plan.due_count; i++) {
        if (f.matches[i].hit != EH_NO_HIT) {
            most = later(most, sample->take.hits[f.matches[i].hit].at_ns - f.plan.due[i].at_ns);
        }
    }
    most = f.course_count > 0 ? -1 : most;
    following_deinit(&f);
    return most;
}

/* At NOW_NS: everything whose time has come is settled. */
static bool is_settled(const struct following *f, int64_t late_ns, int64_t now_ns,
                       struct eh_text *why) {
    const size_t due = eh_follower_settled_due(f->follower);
    if (due >= f->plan.due_count || deadline_ns(&f->plan, due, late_ns) >= now_ns) {
        return true;
    }
    eh_text_printf(why,
                   "at %.3f s stroke %zu is open; it was due at %.3f s in a bar to %.3f s, to be "
                   "settled by %.3f s",
                   (double)now_ns / 1e9, due, (double)f->plan.due[due].at_ns / 1e9,
                   (double)f->plan.bars[f->plan.due[due].bar].end_ns / 1e9,
                   (double)deadline_ns(&f->plan, due, late_ns) / 1e9);
    return false;
}

static bool settles(struct following *f, int64_t late_ns, struct eh_text *why) {
    const struct eh_take *take = &f->sample->take;
    size_t fed = 0;
    for (int64_t now_ns = 0; now_ns <= f->plan.end_ns + 2 * EH_NS_PER_S; now_ns += step_ns) {
        for (; fed < take->count && take->hits[fed].at_ns <= now_ns; fed++) {
            (void)eh_follower_feed(f->follower, fed);
        }
        eh_follower_advance(f->follower, now_ns);
        if (!is_settled(f, late_ns, now_ns, why)) {
            return false;
        }
    }
    return true;
}

bool property_settling(const struct sample *sample, struct eh_text *why) {
    struct following f;
    if (!following_begin(&f, sample)) {
        return true;
    }
    const int64_t late_ns = most_late_ns(sample);
    const bool good = late_ns < 0 || settles(&f, late_ns, why);
    following_deinit(&f);
    return good;
}
