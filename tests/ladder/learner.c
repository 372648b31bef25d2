#include "learner.h"

#include <math.h>
#include <stdio.h>

/* One question of the judge: what a good pass shows and what a bad one does. */
struct measure {
    uint8_t aspect, side;
    uint32_t n;
    double usual, faulty;
    double se, between; /* of a pass's estimate; from pass to pass besides */
    double low, high;   /* NAN = open */
    const char *unit;
};

#define LEFT EH_SIDE_LEFT
#define RIGHT EH_SIDE_RIGHT
#define BOTH EH_SIDE_BOTH

static const struct measure measures[] = {
    {EH_ASPECT_DIDDLE_SPACING, LEFT, 16, 0.50, 0.60, 0.012, 0.006, 0.45, 0.55, "share"},
    {EH_ASPECT_DIDDLE_SPACING, RIGHT, 16, 0.51, 0.60, 0.012, 0.006, 0.45, 0.55, "share"},
    {EH_ASPECT_DIDDLE_LEVEL, LEFT, 16, -0.9, -6.0, 0.5, 0.2, -3.0, 3.0, "dB"},
    {EH_ASPECT_DIDDLE_LEVEL, RIGHT, 16, -0.6, -6.0, 0.5, 0.2, -3.0, 3.0, "dB"},
    {EH_ASPECT_ACCENT, LEFT, 8, 7.2, 2.25, 0.6, 0.3, 4.5, 12.0, "dB"},
    {EH_ASPECT_ACCENT, RIGHT, 8, 7.6, 2.25, 0.6, 0.3, 4.5, 12.0, "dB"},
    {EH_ASPECT_TAP_LEVEL, BOTH, 32, 1.7, 7.0, 0.25, 0.1, NAN, 3.5, "dB"},
    {EH_ASPECT_HAND_LEVEL, BOTH, 32, 0.4, -6.0, 0.4, 0.2, -3.0, 3.0, "dB"},
    {EH_ASPECT_HAND_TIMING, BOTH, 32, 0.8, -20.0, 2.2, 1.0, -10.0, 10.0, "ms"},
    {EH_ASPECT_TIMING, BOTH, 64, 9.0, 30.0, 1.1, 0.7, NAN, 15.0, "ms"},
    {EH_ASPECT_TEMPO, BOTH, 64, 0.1, 5.0, 0.8, 0.3, -2.5, 2.5, "percent"},
    {EH_ASPECT_MISSED, BOTH, 64, 0.3, 6.0, 0.0, 0.0, 0.0, 2.0, "strokes"},
    {EH_ASPECT_EXTRA, BOTH, 64, 0.2, 6.0, 0.0, 0.0, 0.0, 2.0, "hits"},
};

static const struct learner_fault faults[] = {
    {"left seconds late", EH_ASPECT_DIDDLE_SPACING, LEFT, EH_DIRECTION_LATE},
    {"right seconds late", EH_ASPECT_DIDDLE_SPACING, RIGHT, EH_DIRECTION_LATE},
    {"left seconds weak", EH_ASPECT_DIDDLE_LEVEL, LEFT, EH_DIRECTION_WEAK},
    {"right accents under", EH_ASPECT_ACCENT, RIGHT, EH_DIRECTION_NONE},
    {"left hand soft", EH_ASPECT_HAND_LEVEL, BOTH, EH_DIRECTION_LEFT_SOFT},
    {"right hand late", EH_ASPECT_HAND_TIMING, BOTH, EH_DIRECTION_RIGHT_LATE},
    {"unsteady", EH_ASPECT_TIMING, BOTH, EH_DIRECTION_NONE},
    {"rushing", EH_ASPECT_TEMPO, BOTH, EH_DIRECTION_RUSHING},
};

enum { MEASURES = sizeof measures / sizeof measures[0], FAULTS = sizeof faults / sizeof faults[0] };

static const double half_se = 1.6448536269514722;
static const double map_sd = 0.1;

const struct learner_fault *learner_faults(size_t *out_count) {
    *out_count = FAULTS;
    return faults;
}

static bool is_db(const struct measure *m) {
    return m->unit[0] == 'd';
}

/* How far on the way from what is usual to the whole fault. */
static double badness(const struct learner *learner, const struct measure *m, double bpm) {
    const double limit = m->faulty > m->usual ? m->high : m->low;
    const double at_limit = (limit - m->usual) / (m->faulty - m->usual);
    if (!learner->gradual) {
        return bpm > learner->bpm ? 1.0 : 0.0;
    }
    return fmin(fmax(at_limit + 5.0 * (bpm / learner->bpm - 1.0), 0.0), 1.5);
}

static double draw_count(struct learner *learner, double mean) {
    double count = 0.0;
    for (double left = exp(-mean), p = eh_random_unit(&learner->random); p > left && count < 50.0;
         count += 1.0) {
        p *= eh_random_unit(&learner->random);
    }
    return count;
}

/* As the judge widens what rests on a map (docs/measures.md, "Levels"). */
static void widen(struct eh_finding *f) {
    const double away = fabs(f->value) * expm1(half_se * map_sd);
    const double nearer = fabs(f->value) * -expm1(-half_se * map_sd);
    f->low = f->value - hypot(f->value - f->low, f->value > 0.0 ? nearer : away);
    f->high = f->value + hypot(f->high - f->value, f->value > 0.0 ? away : nearer);
}

static void draw_numbers(struct learner *learner, const struct measure *m, double truth,
                         struct eh_finding *f) {
    struct eh_random *random = &learner->random;
    if (m->se == 0.0) {
        f->value = f->low = f->high = draw_count(learner, truth);
        return;
    }
    const double df = m->n - 1.0;
    const double known = fmax(1.0 + eh_random_normal(random) / sqrt(2.0 * df), 0.4);
    f->value = truth + m->between * eh_random_normal(random) + m->se * eh_random_human(random);
    if (is_db(m)) {
        f->value *= exp(learner->map_error);
    }
    const double half = m->se * known * eh_student_quantile(0.95, df);
    f->low = f->value - half;
    f->high = f->value + half;
    if (is_db(m)) {
        widen(f);
    }
}

static uint8_t direction_of(const struct measure *m, bool above) {
    switch (m->aspect) {
    case EH_ASPECT_DIDDLE_SPACING:
        return above ? EH_DIRECTION_LATE : EH_DIRECTION_EARLY;
    case EH_ASPECT_DIDDLE_LEVEL:
        return above ? EH_DIRECTION_STRONG : EH_DIRECTION_WEAK;
    case EH_ASPECT_HAND_LEVEL:
        return above ? EH_DIRECTION_RIGHT_SOFT : EH_DIRECTION_LEFT_SOFT;
    case EH_ASPECT_HAND_TIMING:
        return above ? EH_DIRECTION_LEFT_LATE : EH_DIRECTION_RIGHT_LATE;
    case EH_ASPECT_TEMPO:
        return above ? EH_DIRECTION_RUSHING : EH_DIRECTION_DRAGGING;
    default:
        return EH_DIRECTION_NONE;
    }
}

/* The judge's rule; of the words only those that the ladder must tell again. */
static void judge(const struct measure *m, struct eh_finding *f) {
    const enum eh_standing place = eh_finding_stands(f, 8.0);
    const bool above = place == EH_STANDS_ABOVE;
    f->fault = EH_FAULT_UNCLEAR;
    if (place == EH_STANDS_INSIDE) {
        f->fault = EH_FAULT_NO;
        f->verdict = EH_VERDICT_EVEN;
    } else if (above || place == EH_STANDS_BELOW) {
        f->fault = EH_FAULT_YES;
        f->verdict = EH_VERDICT_UNEVEN;
        f->direction = direction_of(m, above);
    }
}

size_t learner_play(struct learner *learner, double bpm, uint8_t stage, struct eh_finding *out) {
    const struct learner_fault *own = &faults[learner->fault];
    struct learner now = *learner;
    if (stage == EH_STAGE_HAND_MOTION) {
        now.bpm = learner->motion_bpm > 0.0 ? learner->motion_bpm : 1e6;
    }
    for (size_t i = 0; i < MEASURES; i++) {
        const struct measure *m = &measures[i];
        const bool bad = m->aspect == own->aspect && m->side == own->side;
        const double far = bad ? badness(&now, m, bpm) : 0.0;

        out[i] = (struct eh_finding){.aspect = m->aspect,
                                     .side = m->side,
                                     .limit_low = m->low,
                                     .limit_high = m->high,
                                     .n = m->n};
        (void)snprintf(out[i].unit, sizeof out[i].unit, "%s", m->unit);
        draw_numbers(learner, m, m->usual + far * (m->faulty - m->usual), &out[i]);
        judge(m, &out[i]);
    }
    return MEASURES;
}

int learner_climb(struct learner *learner, struct eh_ladder *ladder, int32_t sitting) {
    struct eh_finding findings[LEARNER_FINDINGS];
    struct eh_error error = {0};
    int passes = 0;
    eh_ladder_resume(ladder, sitting);
    while (ladder->step.next != EH_LADDER_DONE) {
        const struct eh_ladder_pass pass = {
            .bpm = ladder->step.bpm,
            .stage = ladder->step.stage,
            .sitting = sitting,
            .level_scale_sd = map_sd,
            .findings = findings,
            .finding_count = learner_play(learner, ladder->step.bpm, ladder->step.stage, findings)};
        if (eh_ladder_pass(ladder, &pass, &error) != EH_OK) {
            return -1;
        }
        passes++;
    }
    return passes;
}

/* Of PASSES at SHARE of the learner's tempo, how many of the decided ones are clean. */
static double clean_share(size_t fault, double share, int passes) {
    struct learner learner = {.fault = fault, .bpm = 100.0, .gradual = true};
    double clean = 0.0;
    double decided = 0.0;
    eh_random_seed(&learner.random, 77, fault);
    for (int i = 0; i < passes; i++) {
        struct eh_finding f[LEARNER_FINDINGS];
        const size_t n = learner_play(&learner, 100.0 * share, EH_STAGE_PLAYED, f);
        bool faulty = false;
        bool unclear = false;
        for (size_t k = 0; k < n; k++) {
            faulty = faulty || f[k].fault == EH_FAULT_YES;
            unclear = unclear || f[k].fault == EH_FAULT_UNCLEAR;
        }
        clean += !faulty && !unclear;
        decided += faulty || !unclear;
    }
    return clean / decided;
}

double learner_held_share(size_t fault, int passes) {
    double low = 0.7;
    double high = 1.3;
    for (int i = 0; i < 14; i++) {
        const double middle = (low + high) / 2.0;
        if (clean_share(fault, middle, passes) > 0.75) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return (low + high) / 2.0;
}
