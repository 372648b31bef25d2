#include "evenhand/pool.h"

#include <math.h>
#include <string.h>

#include "map_reach.h"

/* Half a 90 % interval in standard errors. */
static const double half_se = 1.6448536269514722;

static bool counts(const struct eh_finding *f) {
    return f->aspect == EH_ASPECT_MISSED || f->aspect == EH_ASPECT_EXTRA ||
           f->aspect == EH_ASPECT_RIM || f->aspect == EH_ASPECT_STICKING;
}

static bool in_db(const struct eh_finding *f) {
    return f->unit[0] == 'd' && f->unit[1] == 'B' && f->unit[2] == '\0';
}

static bool has_numbers(const struct eh_finding *f) {
    return isfinite(f->value) && isfinite(f->low) && isfinite(f->high) &&
           !(isnan(f->limit_low) && isnan(f->limit_high));
}

void pool_map_reach(double value, double scale_sd, double *out_down, double *out_up) {
    const double reach = half_se * scale_sd;
    const double away = fabs(value) * expm1(reach);
    const double nearer = fabs(value) * -expm1(-reach);
    *out_down = value > 0.0 ? nearer : away;
    *out_up = value > 0.0 ? away : nearer;
}

/* SIDE of an interval without the part of the map; a third of it at least is the reading's own. */
static double own_side(double side, double map) {
    const double rest = side * side - map * map;
    const double least = side / 3.0;
    return rest > least * least ? sqrt(rest) : least;
}

static void add_counts(struct eh_pool *pool, const struct eh_finding *f) {
    pool->value += f->value;
    pool->low += f->low;
    pool->high += f->high;
    pool->limit_low += isnan(f->limit_low) ? 0.0 : f->limit_low;
    pool->limit_high += isnan(f->limit_high) ? 0.0 : f->limit_high;
}

static void add_weighed(struct eh_pool *pool, const struct eh_finding *f) {
    const double tiny = 1e-9 + 1e-6 * fabs(f->value); /* strokes that were all alike */
    double down = 0.0;
    double up = 0.0;
    pool_map_reach(f->value, pool->scale_sd, &down, &up);
    const double low = fmax(own_side(f->value - f->low, down), tiny);
    const double high = fmax(own_side(f->high - f->value, up), tiny);
    const double se = (low + high) / (2.0 * half_se);
    const double w = 1.0 / (se * se);
    const double df = f->n > 2 ? (double)f->n - 1.0 : 1.0;
    pool->w += w;
    pool->wv += w * f->value;
    pool->wvv += w * f->value * f->value;
    pool->ww_low += w * w * low * low;
    pool->ww_high += w * w * high * high;
    pool->w_df += w / df;
    pool->ww_df += w * w / df;
    pool->w_limit_low += isnan(f->limit_low) ? 0.0 : w * f->limit_low;
    pool->w_limit_high += isnan(f->limit_high) ? 0.0 : w * f->limit_high;
}

bool eh_pool_add(struct eh_pool *pool, const struct eh_finding *finding, double level_scale_sd) {
    const bool low_open = isnan(finding->limit_low);
    const bool high_open = isnan(finding->limit_high);
    if (!has_numbers(finding) ||
        (pool->passes > 0 && (low_open != pool->low_open || high_open != pool->high_open))) {
        return false;
    }
    pool->counts = counts(finding);
    pool->low_open = low_open;
    pool->high_open = high_open;
    pool->scale_sd = in_db(finding) ? level_scale_sd : 0.0;
    memcpy(pool->unit, finding->unit, sizeof pool->unit);
    pool->passes++;
    pool->n += finding->n;
    if (pool->counts) {
        add_counts(pool, finding);
    } else {
        add_weighed(pool, finding);
    }
    return true;
}

/* By how much the sum's interval is wider than its weights say: Meier, and Birge where the passes
 * disagree. */
static double widening(const struct eh_pool *pool, double value) {
    const double df = (double)pool->passes - 1.0;
    const double meier = 1.0 + 4.0 * (pool->w_df / pool->w - pool->ww_df / (pool->w * pool->w));
    const double chi_square = fmax(pool->wvv - pool->w * value * value, 0.0);
    const double birge = df > 0.0 ? fmax(chi_square / df, 1.0) : 1.0;
    return sqrt(meier * birge);
}

static struct eh_estimate weighed(const struct eh_pool *pool) {
    const double value = pool->wv / pool->w;
    const double wider = pool->passes > 1 ? widening(pool, value) : 1.0;
    double down = 0.0;
    double up = 0.0;
    pool_map_reach(value, pool->scale_sd, &down, &up);
    return (struct eh_estimate){.value = value,
                                .low = value - hypot(wider * sqrt(pool->ww_low) / pool->w, down),
                                .high = value + hypot(wider * sqrt(pool->ww_high) / pool->w, up),
                                .n = pool->n};
}

struct eh_estimate eh_pool_estimate(const struct eh_pool *pool, double *out_limit_low,
                                    double *out_limit_high) {
    *out_limit_low = NAN;
    *out_limit_high = NAN;
    if (pool->passes == 0) {
        return (struct eh_estimate){NAN, NAN, NAN, 0};
    }
    const double w = pool->counts ? 1.0 : pool->w;
    const double low = pool->counts ? pool->limit_low : pool->w_limit_low;
    const double high = pool->counts ? pool->limit_high : pool->w_limit_high;
    *out_limit_low = pool->low_open ? NAN : low / w;
    *out_limit_high = pool->high_open ? NAN : high / w;
    return pool->counts ? (struct eh_estimate){pool->value, pool->low, pool->high, pool->n}
                        : weighed(pool);
}

/* What the judge asks for (docs/measures.md and the measures themselves). */
static double least_of(enum eh_aspect aspect, double least_n) {
    switch (aspect) {
    case EH_ASPECT_TEMPO:
        return 32.0;
    case EH_ASPECT_UNMARKED_ACCENT:
        return 4.0; /* occurrences of a place */
    case EH_ASPECT_DYNAMICS:
        return fmin(least_n, 6.0); /* of a passage */
    case EH_ASPECT_MISSED:
    case EH_ASPECT_EXTRA:
    case EH_ASPECT_RIM:
        return 0.0;
    default:
        return least_n;
    }
}

enum eh_standing eh_pool_stands(const struct eh_pool *pool, enum eh_aspect aspect, double least_n) {
    double low = NAN;
    double high = NAN;
    const struct eh_estimate e = eh_pool_estimate(pool, &low, &high);
    return eh_rule_stands(&e, low, high, least_of(aspect, least_n));
}

enum eh_standing eh_finding_stands(const struct eh_finding *finding, double least_n) {
    const struct eh_estimate e = {finding->value, finding->low, finding->high, finding->n};
    return eh_rule_stands(&e, finding->limit_low, finding->limit_high,
                          least_of((enum eh_aspect)finding->aspect, least_n));
}
