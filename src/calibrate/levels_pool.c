/* Which dynamics the pad, or the player, tells apart. */
#include <math.h>

#include "levels.h"

static void sort_knots(struct eh_levels *levels) {
    for (size_t i = 1; i < levels->count; i++) {
        for (size_t k = i;
             k > 0 && levels->knots[k - 1].log_velocity > levels->knots[k].log_velocity; k--) {
            const struct eh_knot knot = levels->knots[k];
            levels->knots[k] = levels->knots[k - 1];
            levels->knots[k - 1] = knot;
        }
    }
}

/* Isotonic regression of the written level on the velocity. Returns how many blocks there are. */
static size_t pool_violators(struct eh_levels *levels) {
    double y[EH_CALIBRATE_MARKS];
    double weights[EH_CALIBRATE_MARKS];
    size_t sizes[EH_CALIBRATE_MARKS];
    for (size_t i = 0; i < levels->count; i++) {
        y[i] = levels->knots[i].written_db;
        weights[i] = levels->knots[i].weight;
    }
    const size_t blocks = eh_isotonic(y, weights, levels->count, sizes);
    size_t i = 0;
    for (size_t b = 0; b < blocks; b++) {
        for (size_t k = 0; k < sizes[b]; k++) {
            levels->knots[i++].block = b;
        }
    }
    return blocks;
}

/* Logarithms of the velocities of a block. The counts stay within room: a block has at most all
 * marks. */
static size_t gather(const struct eh_levels *levels, size_t block, double *v) {
    size_t n = 0;
    for (size_t i = 0; i < levels->count; i++) {
        if (levels->knots[i].block != block) {
            continue;
        }
        const struct eh_taps *taps = &levels->taps[levels->knots[i].mark];
        for (size_t k = 0; k < taps->count; k++) {
            v[n++] = log(taps->taps[k].velocity);
        }
    }
    return n;
}

static bool are_apart(const struct eh_levels *levels, size_t block) {
    double softer[EH_CALIBRATE_MARKS * EH_TAPS_ROOM];
    double louder[EH_CALIBRATE_MARKS * EH_TAPS_ROOM];
    const size_t softer_count = gather(levels, block, softer);
    const size_t louder_count = gather(levels, block + 1, louder);
    return eh_shift(louder, louder_count, softer, softer_count, eh_calibrate_confidence).low > 0;
}

static void join(struct eh_levels *levels, size_t block) {
    for (size_t i = 0; i < levels->count; i++) {
        levels->knots[i].block -= levels->knots[i].block > block;
    }
    levels->blocks--;
}

void eh_levels_pool(struct eh_levels *levels, struct eh_calibration *out) {
    sort_knots(levels);
    levels->blocks = pool_violators(levels);
    for (size_t block = 0; block + 1 < levels->blocks;) {
        if (are_apart(levels, block)) {
            block++;
        } else {
            join(levels, block);
            block = block > 0 ? block - 1 : 0; /* what grew may not be apart from its other side */
        }
    }
    for (size_t i = 1; i < levels->count; i++) {
        if (levels->knots[i].block == levels->knots[i - 1].block) {
            const int a = levels->knots[i - 1].mark;
            const int b = levels->knots[i].mark;
            out->marks[a > b ? a : b].state = EH_CALIBRATE_MERGED;
        }
    }
}
