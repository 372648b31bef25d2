#include <math.h>

#include "course.h"
#include "follow_internal.h"

/* As in the follower: what a stroke found, one left out and a hit left over are worth. */
static const double extra_weight = 2.5;
static const double extra_more_weight = 1.0;
static const double extra_most = 8.0;
static const double grace_missed_weight = 1.0;
static const double wrong_zone_weight = 2.0;
static const double lead_weight = 2.0;
/* Accents stand out from the hits around them by more than this, taps by less; the further, the
 * surer, up to a weight. Bars are often told apart by their accents alone. */
static const double accent_border_db = 1.5;
static const double accent_weight = 0.7;
/* Bars of equal rhythm may differ by their dynamics alone. */
static const double level_unit_db = 4.0;
static const double level_weight = 0.25;
static const double level_most = 0.75;

/* The first hit at or after AT_NS. */
static size_t first_hit(const struct course_ground *g, double at_ns) {
    size_t low = 0;
    size_t high = g->hit_count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (g->hits[middle].at_ns < at_ns) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

static double likeness(const struct course_ground *g, const struct course_main *m,
                       const struct course_hit *hit) {
    double cost = 0.0;
    if (g->accents) {
        const double x = (hit->above_db - accent_border_db) / accent_border_db;
        const double loud = fmin(fmax(x, -1.0), 1.0);
        cost += accent_weight * (m->accent ? -loud : loud);
    }
    const double away = (hit->level_db - m->level_db) / level_unit_db;
    cost += fmin(level_weight * away * away, level_most);
    if ((hit->zone == EH_ZONE_LEFT && m->hand != EH_HAND_LEFT) ||
        (hit->zone == EH_ZONE_RIGHT && m->hand != EH_HAND_RIGHT)) {
        cost += wrong_zone_weight;
    }
    return cost;
}

/* What it costs that a hit stands for a stroke. */
static double hit_cost(const struct course_ground *g, const struct course_main *m,
                       const struct course_hit *hit, double due_ns) {
    const double off = (hit->at_ns - due_ns) / m->unit_ns;
    const double onset = m->buzz ? hit->press : hit->leads ? lead_weight : 0.0;
    return 0.5 * off * off + likeness(g, m, hit) + onset;
}

/* The best of the hits near DUE_NS, from index *FROM on, which moves on behind it; NULL where none
 * is near. */
static const struct course_hit *best_near(const struct course_ground *g,
                                          const struct course_main *m, size_t *from, double due_ns,
                                          double *out_cost) {
    size_t i = *from;
    while (i < g->hit_count && g->hits[i].at_ns < due_ns - m->near_ns) {
        i++;
    }
    *from = i;
    const struct course_hit *best = NULL;
    for (; i < g->hit_count && g->hits[i].at_ns <= due_ns + m->near_ns; i++) {
        const double cost = hit_cost(g, m, &g->hits[i], due_ns);
        if (best == NULL || cost < *out_cost) {
            best = &g->hits[i];
            *out_cost = cost;
            *from = i + 1;
        }
    }
    return best;
}

static double extra_cost(int extras) {
    if (extras <= 2) {
        return extra_weight * extras;
    }
    return fmin(2 * extra_weight + extra_more_weight * (extras - 2), extra_most);
}

static double length_of(const struct course_ground *g, size_t beat) {
    return g->grid_ns[beat + 1] - g->grid_ns[beat];
}

static struct course_fit fit_at(const struct course_ground *g, size_t beat, size_t cell,
                                double place_ns) {
    const struct course_cell *c = &g->cells[cell];
    const double from_ns = g->grid_ns[beat] + place_ns;
    const double scale = c->length_ns > 0 ? length_of(g, beat) / (double)c->length_ns : 1.0;
    const double early_next_ns =
        cell + 1 < g->cell_count ? g->cells[cell + 1].early_ns : c->early_ns;
    const size_t first = first_hit(g, from_ns - c->early_ns);
    const size_t end = first_hit(g, from_ns + length_of(g, beat) - early_next_ns);
    struct course_fit fit = {0};
    size_t at = first;
    for (uint32_t i = 0; i < c->main_count; i++) {
        const struct course_main *m = &g->mains[c->first_main + i];
        const double due_ns = from_ns + m->after_ns * scale;
        double cost = 0.0;
        const struct course_hit *hit = best_near(g, m, &at, due_ns, &cost);
        if (hit == NULL) {
            fit.cost += follow_missed_cost(1);
            fit.tail += follow_missed_cost(1);
            continue;
        }
        fit.head = fit.found == 0 ? fit.tail : fit.head;
        fit.tail = 0.0;
        fit.cost += cost - follow_reward(false);
        fit.off_ns += hit->at_ns - due_ns;
        fit.found++;
    }
    fit.off_ns = fit.found > 0 ? fit.off_ns / fit.found : 0.0;
    fit.tail = fit.found > 0 ? fit.tail : 0.0;
    const int over = (int)(end > first ? end - first : 0) - fit.found;
    if (!c->sounding) {
        const int graces = (int)c->graces;
        fit.cost += over >= graces ? extra_cost(over - graces)
                                   : grace_missed_weight * (graces - (over > 0 ? over : 0));
    }
    return fit;
}

/* In fast rolls a few milliseconds more or less decide which stroke a hit is nearest to; where
 * strokes lack hits, the beat is tried a little earlier and later. */
static const double shift_ns = 12e6;
static const double shift_weight = 0.7;

struct course_fit course_fit(const struct course_ground *g, size_t beat, size_t cell,
                             double place_ns) {
    struct course_fit best = fit_at(g, beat, cell, place_ns);
    if (best.found == (int)g->cells[cell].main_count) {
        return best;
    }
    for (int side = -1; side <= 1; side += 2) {
        struct course_fit fit = fit_at(g, beat, cell, place_ns + side * shift_ns);
        fit.cost += shift_weight;
        fit.off_ns += fit.found > 0 ? side * shift_ns : 0.0;
        if (fit.cost < best.cost) {
            best = fit;
        }
    }
    return best;
}

int course_hits_within(const struct course_ground *g, size_t beat, double place_ns) {
    static const double early_ns = 30e6;
    const double from_ns = g->grid_ns[beat] + place_ns - early_ns;
    return (int)(first_hit(g, from_ns + length_of(g, beat)) - first_hit(g, from_ns));
}
