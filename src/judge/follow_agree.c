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
/* How far the distance between two neighbouring strokes strays from the written one in the same
 * way in every beat, in units of at least 15 ms, squared, at most 3: somebody whose strokes stray
 * at random is unsteady, and plays this exercise. With what is random its mean is 0.13 for players,
 * and in one learner's run of a hundred over 0.38 (tools/measure-judge); triplets matched to 16ths
 * reach 1. What it is over 0.35 counts as that share of strokes left out. */
static const double uneven_unit_ns = 15e6;
static const double uneven_most = 3.0;
static const double usual_uneven = 0.35;

/* With less than this nobody can say that it was something else. */
static const double least_apart = 12.0;

/* Places in a quarter note. */
enum { PLACES = 24 };

struct tally {
    double found, missed, misplaced, mean_db;
    double squares;                       /* of how far neighbours stray that were both found */
    double strays[PLACES], pairs[PLACES]; /* the same, not squared, by place in the beat */
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

static void take_pair(struct tally *t, const struct followed *f, const struct eh_plan *plan,
                      const struct eh_take *take, size_t before, size_t due) {
    if (f->matches[before].hit == EH_NO_HIT) {
        return;
    }
    const double unit = fmax(fmin(follow_unit_ns(plan->due[before].spacing_ns),
                                  follow_unit_ns(plan->due[due].spacing_ns)),
                             uneven_unit_ns);
    const double away = away_ns(f, plan, take, due) - away_ns(f, plan, take, before);
    const double most = sqrt(uneven_most);
    const double strays = fmax(fmin(away / (2.0 * unit), most), -most);
    const eh_ticks in_beat =
        ((plan->due[due].at % EH_TICKS_PER_QUARTER) + EH_TICKS_PER_QUARTER) % EH_TICKS_PER_QUARTER;
    const size_t place = (size_t)(in_beat * PLACES / EH_TICKS_PER_QUARTER);
    t->squares += strays * strays;
    t->strays[place] += strays;
    t->pairs[place] += 1.0;
}

/* The mean square of what is the same in every beat; what is random is taken out of it: between
 * and within the places, as in an analysis of variance with random effects. */
static double same_uneven(const struct tally *t) {
    double between = 0.0;
    double pairs = 0.0;
    double places = 0.0;
    for (size_t i = 0; i < PLACES; i++) {
        if (t->pairs[i] > 0.0) {
            between += t->strays[i] * t->strays[i] / t->pairs[i];
            pairs += t->pairs[i];
            places += 1.0;
        }
    }
    if (pairs <= places) {
        return 0.0;
    }
    const double within = fmax(t->squares - between, 0.0) / (pairs - places);
    return fmax(between - places * within, 0.0) / pairs;
}

static double uneven_cost(const struct tally *t) {
    return t->found * fmax(same_uneven(t) - usual_uneven, 0.0);
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
        if (k > 0) {
            take_pair(&t, f, plan, take, plan->mains[k - 1], due);
        }
    }
    end_run(&t);
    double extra = (double)aside;
    for (size_t i = 0; i < take->count; i++) {
        extra += f->fates[i].kind == EH_FATE_EXTRA;
    }
    const double both = 2.0 * t.found;
    const double apart =
        t.missed + extra + misplaced_weight * t.misplaced + leap_cost(leaps) + uneven_cost(&t);
    return apart < least_apart && t.found > 0.0 ? 1.0 : both / (both + apart + 1e-9);
}
