#include "places_sure.h"

#include <math.h>
#include <string.h>

#include "evenhand/stats.h"

/* What one side of a 90 % interval leaves out. */
static const double beside = 0.05;

double places_least_sure(uint32_t stretches) {
    return eh_normal_quantile(1.0 - beside / fmax((double)stretches, 1.0));
}

/* ---- Exact counts ---- */

/* The share that may fail; NAN: it is no exact count. */
static double allowed_share(const struct eh_style *style, const struct eh_finding *f) {
    switch ((enum eh_aspect)f->aspect) {
    case EH_ASPECT_MISSED:
    case EH_ASPECT_STICKING:
    case EH_ASPECT_RIM:
        return style->missed_share;
    case EH_ASPECT_EXTRA:
        return style->extra_share;
    default:
        return NAN;
    }
}

/* The chance of COUNT or more of N where each fails with chance P (the binomial tail). */
static double chance_of(double count, uint32_t n, double p) {
    const double log_odds = log(p) - log1p(-p);
    double log_one = (double)n * log1p(-p);
    double sum = 0.0;
    for (uint32_t k = 1; k <= n; k++) {
        log_one += log((double)(n - k + 1) / (double)k) + log_odds;
        sum += (double)k >= count ? exp(log_one) : 0.0;
    }
    return count <= 0.0 ? 1.0 : fmin(sum, 1.0);
}

static double count_sure(const struct eh_finding *f, double share) {
    const uint32_t least = (uint32_t)fmax(f->low, 0.0);
    const double chance =
        chance_of(f->low, f->n > least ? f->n : least, fmin(fmax(share, 1e-6), 0.5));
    return -eh_normal_quantile(fmin(fmax(chance, 1e-300), 0.5));
}

/* ---- Estimates ---- */

/* One side of an interval: what the pad's map may be wrong by, and the rest. */
struct side {
    double map, own;
};

static struct side take_apart(const struct eh_judgement *j, const struct eh_finding *f, bool up) {
    const double size = up ? f->high - f->value : f->value - f->low;
    const double reach = eh_normal_quantile(1.0 - beside) * j->pad->levels.scale_sd;
    const bool away = up == (f->value > 0.0);
    const double map =
        strcmp(f->unit, "dB") == 0 ? fabs(f->value) * (away ? expm1(reach) : -expm1(-reach)) : 0.0;
    const double rest = size * size - map * map;
    const double least = size / 3.0; /* a third at least is the reading's own */
    return (struct side){map, rest > least * least ? sqrt(rest) : least};
}

double places_sure(const struct eh_judgement *j, const struct eh_finding *f) {
    const double share = allowed_share(j->style, f);
    if (f->fault != EH_FAULT_YES || !isfinite(f->value)) {
        return 0.0;
    }
    if (!isnan(share)) {
        return count_sure(f, share);
    }
    const bool above = f->value > f->limit_high;
    const double over = above ? f->value - f->limit_high : f->limit_low - f->value;
    const struct side side = take_apart(j, f, !above);
    if (!(over > side.map) || !(side.own > 0.0)) {
        return 0.0;
    }
    return eh_normal_quantile(1.0 - beside) * sqrt(over * over - side.map * side.map) / side.own;
}

void places_widen(const struct eh_judgement *j, uint32_t stretches, struct eh_finding *f) {
    const double wide = places_least_sure(stretches) / eh_normal_quantile(1.0 - beside);
    const struct side down = take_apart(j, f, false);
    const struct side up = take_apart(j, f, true);
    if (isnan(allowed_share(j->style, f))) {
        f->low = f->value - hypot(wide * down.own, down.map);
        f->high = f->value + hypot(wide * up.own, up.map);
    }
}
