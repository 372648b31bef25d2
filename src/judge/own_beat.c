#include "own_beat.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "start.h"

/* How a beat strays is followed closely enough by one tempo for each silent stretch: what the beat
 * does besides, the follower takes for the player's usual wandering. That tempo is looked for from
 * -6 to 6 % of the click's: what strays further is another tempo, not the same one astray (common
 * practice, no source), first the same for all stretches, then for each by itself. */
static const double step_percent = 0.5;
enum { STEPS = 12 };
static const double finer_percent[] = {-1.5, -0.75, 0.75, 1.5};
enum { FINER = (int)(sizeof finer_percent / sizeof finer_percent[0]) };
/* One unit of cost. A tempo off by 2.5 % is hardly noticed (Drake & Botte 1993, Perception &
 * Psychophysics 54, 277-286: 3 % for six intervals, 1.5 % at best). */
static const double unit_percent = 2.5;

/* Back to the click a player goes by so much of the time that passes at most, whichever of these
 * explains the take best (a guess: one waits for the click, another creeps up to it), and near the
 * end of the way puts right half of what is left with each beat (Repp 2005, Psychonomic Bulletin &
 * Review 12, 969-992; the share from memory). */
static const double rates[] = {0.125, 0.0625, 0.25, 0.5};
enum { RATES = (int)(sizeof rates / sizeof rates[0]) };

struct stretch {
    int64_t at_ns, end_ns; /* the first silent bar line and the first that is not */
    int32_t pass;
    double beat_ns;
    double percent; /* slower: late positive */
};

struct search {
    const struct eh_plan *plan;
    const struct eh_take *take;
    const struct eh_pad *pad;
    struct stretch *stretches;
    size_t count;
    double rate;
    struct eh_plan *laid;
    double cost; /* of what is laid by the best that was found */
};

/* What is left of an error of OFF_NS after AFTER_NS with the click. */
static double left_of(double off_ns, double after_ns, double beat_ns, double rate) {
    const double bend_ns = fmin(2.0 * rate * beat_ns, fabs(off_ns));
    const double even_ns = (fabs(off_ns) - bend_ns) / rate;
    double left = fabs(off_ns) - rate * after_ns;
    if (after_ns >= even_ns) {
        const double beats = (after_ns - even_ns) / beat_ns;
        const double whole = floor(beats);
        left = ldexp(bend_ns, -(int)fmin(whole, 60.0)) * (1.0 - 0.5 * (beats - whole));
    }
    return copysign(left, off_ns);
}

/* How late the player's own beat is at AT_NS of the click. */
static double late_ns(const struct search *s, int64_t at_ns, int32_t pass) {
    double late = 0.0;
    for (size_t i = 0; i < s->count && s->stretches[i].at_ns < at_ns; i++) {
        const struct stretch *t = &s->stretches[i];
        const int64_t in_ns = (at_ns < t->end_ns ? at_ns : t->end_ns) - t->at_ns;
        const double off_ns = 0.01 * t->percent * (double)in_ns;
        if (t->pass == pass) {
            late += at_ns < t->end_ns
                        ? off_ns
                        : left_of(off_ns, (double)(at_ns - t->end_ns), t->beat_ns, s->rate);
        }
    }
    return late;
}

static int64_t moved_ns(const struct search *s, int64_t at_ns, int32_t pass) {
    return at_ns + llround(late_ns(s, at_ns, pass));
}

/* Grace notes keep their distance to their main stroke. */
static void lay(const struct search *s) {
    for (size_t i = 0; i < s->plan->bar_count; i++) {
        const struct eh_plan_bar *bar = &s->plan->bars[i];
        s->laid->bars[i].at_ns = moved_ns(s, bar->at_ns, bar->pass);
        s->laid->bars[i].end_ns = moved_ns(s, bar->end_ns, bar->pass);
    }
    for (size_t i = 0; i < s->plan->due_count; i++) {
        const struct eh_due *due = &s->plan->due[i];
        const struct eh_due *main = &s->plan->due[due->main];
        const int64_t by_ns = moved_ns(s, main->at_ns, s->plan->bars[main->bar].pass) - main->at_ns;
        s->laid->due[i].at_ns = due->at_ns + by_ns;
    }
}

/* Tries what the stretches say. */
static enum eh_status try_it(struct search *s, double *out_cost) {
    size_t matched = 0;
    lay(s);
    const enum eh_status status = eh_follow_fit(s->laid, s->take, s->pad, &matched, out_cost);
    for (size_t i = 0; i < s->count; i++) {
        const double units = s->stretches[i].percent / unit_percent;
        *out_cost += 0.5 * units * units;
    }
    return status;
}

static void set_all(struct search *s, double percent) {
    for (size_t i = 0; i < s->count; i++) {
        s->stretches[i].percent = percent;
    }
}

/* One tempo for all, then the way back. */
static enum eh_status find_tempo(struct search *s) {
    enum eh_status status = EH_OK;
    double best_percent = 0.0;
    double best_rate = rates[0];
    for (int step = -STEPS; step <= STEPS && status == EH_OK; step++) {
        double cost = 0.0;
        set_all(s, step_percent * step);
        status = try_it(s, &cost);
        if (cost < s->cost) {
            s->cost = cost;
            best_percent = step_percent * step;
        }
    }
    set_all(s, best_percent);
    for (int i = 1; i < RATES && best_percent != 0.0 && status == EH_OK; i++) {
        double cost = 0.0;
        s->rate = rates[i];
        status = try_it(s, &cost);
        if (cost < s->cost) {
            s->cost = cost;
            best_rate = rates[i];
        }
    }
    s->rate = best_rate;
    return status;
}

/* Each stretch by itself, once in their order. */
static enum eh_status refine(struct search *s) {
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < s->count && status == EH_OK; i++) {
        const double from = s->stretches[i].percent;
        double best = from;
        for (int k = 0; k < FINER && status == EH_OK; k++) {
            double cost = 0.0;
            s->stretches[i].percent = from + finer_percent[k];
            status = try_it(s, &cost);
            if (cost < s->cost) {
                s->cost = cost;
                best = s->stretches[i].percent;
            }
        }
        s->stretches[i].percent = best;
    }
    return status;
}

static bool is_silent(const struct eh_plan *plan, const bool *silent, size_t count, size_t bar) {
    return bar < plan->bar_count && bar < count && silent[bar];
}

static void find_stretches(struct search *s, const bool *silent, size_t count) {
    const struct eh_plan *plan = s->plan;
    for (size_t i = 0; i < plan->bar_count; i++) {
        const struct eh_plan_bar *bar = &plan->bars[i];
        if (!is_silent(plan, silent, count, i)) {
            continue;
        }
        const bool opens =
            i == 0 || !is_silent(plan, silent, count, i - 1) || plan->bars[i - 1].pass != bar->pass;
        if (opens) {
            const double length_ns = (double)(bar->end_ns - bar->at_ns);
            s->stretches[s->count++] =
                (struct stretch){.at_ns = bar->at_ns,
                                 .pass = bar->pass,
                                 .beat_ns = length_ns * 4.0 * EH_TICKS_PER_QUARTER / bar->unit /
                                            (double)(bar->end - bar->at)};
        }
        s->stretches[s->count - 1].end_ns = bar->end_ns;
    }
}

static void *copy_of(const void *from, size_t bytes) {
    void *copy = malloc(bytes + 1);
    return copy != NULL ? memcpy(copy, from, bytes) : NULL;
}

static enum eh_status copy_plan(struct eh_plan *out, const struct eh_plan *plan) {
    *out = *plan;
    out->due = copy_of(plan->due, plan->due_count * sizeof *plan->due);
    out->mains = copy_of(plan->mains, plan->main_count * sizeof *plan->mains);
    out->bars = copy_of(plan->bars, plan->bar_count * sizeof *plan->bars);
    if (out->due == NULL || out->mains == NULL || out->bars == NULL) {
        eh_plan_deinit(out);
        return EH_NO_MEMORY;
    }
    return EH_OK;
}

enum eh_status own_beat_lay(struct eh_plan *out, const struct eh_plan *plan, const bool *silent,
                            size_t silent_count, const struct eh_take *take,
                            const struct eh_pad *pad) {
    enum eh_status status = copy_plan(out, plan);
    struct search s = {.plan = plan,
                       .take = take,
                       .pad = pad,
                       .stretches = calloc(plan->bar_count + 1, sizeof *s.stretches),
                       .rate = rates[0],
                       .laid = out,
                       .cost = INFINITY};
    if (status == EH_OK && s.stretches == NULL) {
        status = EH_NO_MEMORY;
    }
    if (status == EH_OK) {
        find_stretches(&s, silent, silent_count);
        status = find_tempo(&s);
    }
    if (status == EH_OK) {
        status = refine(&s);
    }
    if (status == EH_OK) {
        lay(&s);
    } else {
        eh_plan_deinit(out);
    }
    free(s.stretches);
    return status;
}
