/* The posterior of the tempo held, on a grid. */
#include "evenhand/held.h"

#include <math.h>

/* A sum of numbers known by their logarithms, kept as a multiple of the largest. */
struct log_sum {
    double top, sum, other; /* OTHER: a second sum under the same scale */
};

static void log_sum_add(struct log_sum *s, double logarithm, double share) {
    if (logarithm > s->top) {
        const double scale = exp(s->top - logarithm);
        s->sum *= scale;
        s->other *= scale;
        s->top = logarithm;
    }
    const double part = exp(logarithm - s->top);
    s->sum += part;
    s->other += part * share;
}

static const double ln_10 = 2.302585092994046;

/* 1 - exp(-k) of the curve's reach is what makes EH_HELD_UNCLEAN at the threshold. */
static double factor_of(const struct eh_held_curve *c) {
    return -log1p(-(EH_HELD_UNCLEAN - c->false_alarm) / (1.0 - c->false_alarm - c->lapse));
}

static double unclean_at(const struct eh_held_curve *c, double factor, double decades) {
    const double reach = 1.0 - c->false_alarm - c->lapse;
    return c->false_alarm - reach * expm1(-factor * exp(ln_10 * c->slope * decades));
}

double eh_held_chance_unclean(const struct eh_held_curve *curve, double bpm, double threshold_bpm) {
    return unclean_at(curve, factor_of(curve), log10(bpm / threshold_bpm));
}

void eh_held_usual_prior(struct eh_held_prior *out_prior, double from_bpm, double to_bpm) {
    static const double slopes[] = {15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 960.0, 1920.0};
    static const double lapses[] = {0.01, 0.08};
    *out_prior = (struct eh_held_prior){.low_bpm = from_bpm / 1.25, .high_bpm = to_bpm * 1.25};
    for (size_t s = 0; s < sizeof slopes / sizeof slopes[0]; s++) {
        for (size_t i = 0; i < 4; i++) {
            out_prior->curves[out_prior->curve_count++] =
                (struct eh_held_curve){slopes[s], lapses[i & 1], lapses[i >> 1]};
        }
    }
}

static double threshold_at(const struct eh_held_prior *prior, double point) {
    const double low = log10(prior->low_bpm);
    const double high = log10(prior->high_bpm);
    return low + (high - low) * point / (EH_HELD_GRID - 1);
}

/* The answers' log-likelihood under CURVE at every point of the grid. */
static void look_up(const struct eh_held_prior *prior, const struct eh_held_curve *curve,
                    const struct eh_held_answer *answers, size_t count,
                    double out_sums[EH_HELD_GRID]) {
    const double factor = factor_of(curve);
    const double low = threshold_at(prior, 0.0);
    const double grain = (threshold_at(prior, EH_HELD_GRID - 1) - low) / (EH_HELD_GRID - 1);
    for (size_t i = 0; i < EH_HELD_GRID; i++) {
        out_sums[i] = 0.0;
    }
    for (size_t a = 0; a < count; a++) {
        const double x = log10(answers[a].bpm) - low;
        for (size_t i = 0; i < EH_HELD_GRID; i++) {
            const double p = unclean_at(curve, factor, x - grain * (double)i);
            out_sums[i] += answers[a].unclean > 0.0 ? answers[a].unclean * log(p) : 0.0;
            out_sums[i] += answers[a].clean > 0.0 ? answers[a].clean * log1p(-p) : 0.0;
        }
    }
}

static void weigh(struct eh_held *held, const struct eh_held_prior *prior,
                  const struct eh_held_answer *answers, size_t count) {
    struct log_sum points[EH_HELD_GRID];
    double sums[EH_HELD_GRID];
    double top = -INFINITY;
    double whole = 0.0;
    for (size_t i = 0; i < EH_HELD_GRID; i++) {
        points[i] = (struct log_sum){-INFINITY, 0.0, 0.0};
    }
    for (size_t c = 0; c < prior->curve_count; c++) {
        look_up(prior, &prior->curves[c], answers, count, sums);
        for (size_t i = 0; i < EH_HELD_GRID; i++) {
            log_sum_add(&points[i], sums[i], 0.0);
            top = fmax(top, sums[i]);
        }
    }
    for (size_t i = 0; i < EH_HELD_GRID; i++) {
        held->density[i] = points[i].sum * exp(points[i].top - top);
        whole += held->density[i];
    }
    for (size_t i = 0; i < EH_HELD_GRID; i++) {
        held->density[i] /= whole;
    }
}

/* The tempo below which SHARE of the posterior lies: each point stands for the stretch about it. */
static double quantile(const struct eh_held *held, const struct eh_held_prior *prior,
                       double share) {
    double below = 0.0;
    size_t i = 0;
    while (i + 1 < EH_HELD_GRID && below + held->density[i] < share) {
        below += held->density[i++];
    }
    const double within = held->density[i] > 0.0 ? (share - below) / held->density[i] : 0.5;
    const double point = (double)i - 0.5 + fmin(within, 1.0);
    return pow(10.0, threshold_at(prior, fmin(fmax(point, 0.0), EH_HELD_GRID - 1)));
}

void eh_held_estimate(struct eh_held *out_held, const struct eh_held_prior *prior,
                      const struct eh_held_answer *answers, size_t answer_count) {
    double slowest = INFINITY;
    double fastest = 0.0;
    *out_held = (struct eh_held){0};
    weigh(out_held, prior, answers, answer_count);
    for (size_t i = 0; i < answer_count; i++) {
        const double passes = answers[i].clean + answers[i].unclean;
        out_held->passes += passes;
        slowest = passes > 0.0 ? fmin(slowest, answers[i].bpm) : slowest;
        fastest = passes > 0.0 ? fmax(fastest, answers[i].bpm) : fastest;
    }
    out_held->bpm = quantile(out_held, prior, 0.5);
    out_held->low = quantile(out_held, prior, 0.05);
    out_held->high = quantile(out_held, prior, 0.95);
    out_held->open_low = quantile(out_held, prior, 0.25) < slowest;
    out_held->open_high = quantile(out_held, prior, 0.75) > fastest;
}

double eh_held_clean_at(const struct eh_held_prior *prior, const struct eh_held_answer *answers,
                        size_t answer_count, double bpm) {
    struct log_sum s = {-INFINITY, 0.0, 0.0};
    double sums[EH_HELD_GRID];
    for (size_t c = 0; c < prior->curve_count; c++) {
        const struct eh_held_curve *curve = &prior->curves[c];
        const double factor = factor_of(curve);
        look_up(prior, curve, answers, answer_count, sums);
        for (size_t i = 0; i < EH_HELD_GRID; i++) {
            const double decades = log10(bpm) - threshold_at(prior, (double)i);
            log_sum_add(&s, sums[i], 1.0 - unclean_at(curve, factor, decades));
        }
    }
    return s.other / s.sum;
}
