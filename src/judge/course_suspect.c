#include "course.h"
#include "follow_internal.h"

/* Signs that the player left the written way. They only decide whether the way is looked for, so
 * they may be quick to suspect: three strokes in a row without a hit, three of eight hits without
 * a stroke, three hits soon after the end, or accents that fall on other strokes than the written
 * ones. */
enum { MISSED_RUN = 3, EXTRAS = 3, EXTRA_WINDOW = 8, MISPLACED = 5, ACCENT_WINDOW = 24 };
static const double loud_db = 3.0;
static const double soft_db = 0.5;
static const double mean_gain = 0.12;

static int bits(uint32_t set) {
    int count = 0;
    for (; set != 0; set &= set - 1) {
        count++;
    }
    return count;
}

static bool misses_in_a_row(const struct eh_plan *plan, const struct eh_match *matches) {
    int run = 0;
    for (size_t i = 0; i < plan->due_count; i++) {
        if (plan->due[i].main != i) {
            continue;
        }
        run = matches[i].hit == EH_NO_HIT ? run + 1 : 0;
        if (run == MISSED_RUN) {
            return true;
        }
    }
    return false;
}

static bool many_extras(const struct eh_take *take, const struct eh_fate *fates) {
    uint32_t recent = 0; /* one bit a hit, the newest lowest */
    for (size_t i = 0; i < take->count; i++) {
        recent = ((recent << 1) | (fates[i].kind == EH_FATE_EXTRA)) & ((1u << EXTRA_WINDOW) - 1);
        if (bits(recent) >= EXTRAS) {
            return true;
        }
    }
    return false;
}

static bool plays_on(const struct eh_plan *plan, const struct eh_take *take,
                     const struct eh_fate *fates) {
    const struct eh_plan_bar *last = &plan->bars[plan->bar_count - 1];
    const int64_t until_ns = plan->end_ns + 2 * (last->end_ns - last->at_ns);
    int hits = 0;
    for (size_t i = take->count; i-- > 0 && take->hits[i].at_ns > plan->end_ns;) {
        hits += fates[i].kind == EH_FATE_OUTSIDE && take->hits[i].at_ns < until_ns;
    }
    return hits >= EXTRAS;
}

static bool accents_misplaced(const struct eh_plan *plan, const struct eh_take *take,
                              const struct eh_pad *pad, const struct eh_match *matches) {
    uint32_t recent = 0;
    double mean_db = 0.0;
    bool heard = false;
    for (size_t i = 0; i < plan->due_count; i++) {
        if (plan->due[i].main != i || matches[i].hit == EH_NO_HIT) {
            continue;
        }
        const double level_db = eh_pad_level_db(pad, eh_hit_velocity(&take->hits[matches[i].hit]));
        mean_db = heard ? mean_db : level_db;
        heard = true;
        const double above_db = level_db - mean_db;
        mean_db += mean_gain * above_db;
        const bool accent = eh_plan_stroke(plan, i)->accent != 0;
        const bool misplaced = accent ? above_db < soft_db : above_db > loud_db;
        recent = ((recent << 1) | misplaced) & ((1u << ACCENT_WINDOW) - 1);
        if (bits(recent) >= MISPLACED) {
            return true;
        }
    }
    return false;
}

bool course_suspected(const struct eh_plan *plan, const struct eh_take *take,
                      const struct eh_pad *pad, const struct eh_match *matches,
                      const struct eh_fate *fates) {
    return misses_in_a_row(plan, matches) || many_extras(take, fates) ||
           plays_on(plan, take, fates) || accents_misplaced(plan, take, pad, matches);
}
