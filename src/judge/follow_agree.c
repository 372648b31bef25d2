#include <math.h>

#include "follow_internal.h"
#include "follow_whole.h"

/* How far what was played agrees with what is written.
 *
 * Somebody who plays another exercise still meets many strokes by chance, the more so as any way
 * through the exercise is allowed. What gives it away are the leaps that this takes, the strokes
 * and hits left over, accents in other places, and distances that are not the written ones. */
static const double leap_weight = 12.0;
/* Two different leaps happen to anybody; further ones are the way of somebody who plays something
 * else. The same leap again is a loop. */
static const double further_leap_weight = 45.0;
enum { USUAL_LEAPS = 2 };
/* Of a longer row of strokes left out, this many count: a stop is no disagreement. */
enum { STOP_STROKES = 8, STOP_COUNTS = 4 };
/* An accent that does not rise over the hits around, and a tap that rises by more than an accent
 * does, count as half a stroke left out. */
static const double loud_db = 3.0;
static const double soft_db = 0.5;
static const double misplaced_weight = 0.5;
static const double mean_gain = 0.12;
/* How far the distance between two neighbouring strokes strays from the written one, in units of at
 * least 15 ms, halved and bounded. Whoever is unsteady strays now here, now there; whoever plays
 * another rhythm strays at the same place of every bar alike: so strays are multiplied by those a
 * bar before. Triplets matched to 16ths come to 1, second strokes at 0.6 of a span of 250 ms to
 * 0.4. What the mean is over 0.35 counts as that share of strokes left out, no more than 0.7. */
static const double uneven_unit_ns = 15e6;
static const double uneven_bound = 1.7;
static const double usual_uneven = 0.35;
static const double uneven_counts = 0.7;
static const double uneven_least_pairs = 16.0;

/* With less than this nobody can say that it was something else. */
static const double least_apart = 12.0;

struct tally {
    double found, missed, misplaced, mean_db;
    double uneven, pairs; /* sum of products of strays a bar apart, and how many */
    int run;
};

static void end_run(struct tally *t) {
    t->missed += t->run > STOP_STROKES ? STOP_COUNTS : t->run;
    t->run = 0;
}

static void take_stroke(struct tally *t, double level_db, bool accent) {
    t->mean_db = t->found > 0.0 ? t->mean_db : level_db;
    const double above_db = level_db - t->mean_db;
    t->mean_db += mean_gain * above_db;
    t->misplaced += accent ? above_db < soft_db : above_db > loud_db;
    t->found += 1.0;
}

/* How far main stroke DUE is from its place in the plan, ns. */
static double away_ns(const struct followed *f, const struct eh_plan *plan,
                      const struct eh_take *take, size_t due) {
    const struct eh_match *m = &f->matches[due];
    return (double)(take->hits[m->hit].at_ns - plan->due[due].at_ns - m->shift_ns);
}

/* How main stroke K of the plan strays from the one before it; NAN unless both were found. */
static double stray(const struct followed *f, const struct eh_plan *plan,
                    const struct eh_take *take, size_t k) {
    const size_t due = plan->mains[k];
    const size_t before = k > 0 ? plan->mains[k - 1] : due;
    if (k == 0 || f->matches[due].hit == EH_NO_HIT || f->matches[before].hit == EH_NO_HIT) {
        return NAN;
    }
    const double unit = fmax(fmin(follow_unit_ns(plan->due[before].spacing_ns),
                                  follow_unit_ns(plan->due[due].spacing_ns)),
                             uneven_unit_ns);
    const double by = (away_ns(f, plan, take, due) - away_ns(f, plan, take, before)) / (2.0 * unit);
    return fmin(fmax(by, -uneven_bound), uneven_bound);
}

/* Multiplies each main stroke's stray by that of the same place in the bar before. */
static void take_strays(struct tally *t, const struct followed *f, const struct eh_plan *plan,
                        const struct eh_take *take) {
    size_t e = 0;
    for (size_t k = 1; k < plan->main_count; k++) {
        const struct eh_due *due = &plan->due[plan->mains[k]];
        const eh_ticks in_bar = eh_plan_stroke(plan, plan->mains[k])->in_bar;
        while (e < k && (plan->due[plan->mains[e]].bar + 1 < due->bar ||
                         (plan->due[plan->mains[e]].bar + 1 == due->bar &&
                          eh_plan_stroke(plan, plan->mains[e])->in_bar < in_bar))) {
            e++;
        }
        if (plan->due[plan->mains[e]].bar + 1 == due->bar &&
            eh_plan_stroke(plan, plan->mains[e])->in_bar == in_bar) {
            const double product = stray(f, plan, take, e) * stray(f, plan, take, k);
            t->uneven += isnan(product) ? 0.0 : product;
            t->pairs += isnan(product) ? 0.0 : 1.0;
        }
    }
}

static double uneven_cost(const struct tally *t) {
    if (t->pairs < uneven_least_pairs) {
        return 0.0;
    }
    return t->found * fmin(fmax(t->uneven / t->pairs - usual_uneven, 0.0), uneven_counts);
}

static double leap_cost(size_t leaps) {
    const double usual = leaps < USUAL_LEAPS ? (double)leaps : USUAL_LEAPS;
    return leap_weight * usual + further_leap_weight * ((double)leaps - usual);
}

double follow_agreement(const struct followed *f, const struct eh_plan *plan,
                        const struct eh_take *take, const struct eh_pad *pad, size_t leaps,
                        size_t aside) {
    struct tally t = {0};
    for (size_t k = 0; k < plan->main_count; k++) {
        const size_t due = plan->mains[k];
        const int32_t hit = f->matches[due].hit;
        if (hit == EH_NO_HIT) {
            t.run++;
            continue;
        }
        end_run(&t);
        take_stroke(&t, eh_pad_level_db(pad, eh_hit_velocity(&take->hits[hit])),
                    eh_plan_stroke(plan, due)->accent != 0);
    }
    end_run(&t);
    take_strays(&t, f, plan, take);
    double extra = (double)aside;
    for (size_t i = 0; i < take->count; i++) {
        extra += f->fates[i].kind == EH_FATE_EXTRA;
    }
    const double both = 2.0 * t.found;
    const double apart =
        t.missed + extra + misplaced_weight * t.misplaced + leap_cost(leaps) + uneven_cost(&t);
    return apart < least_apart && t.found > 0.0 ? 1.0 : both / (both + apart + 1e-9);
}
