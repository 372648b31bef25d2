/* When the demo player's strokes fall: the scatter of a person, and the faults of timing. */
#include <math.h>

#include "demo_row.h"

/* A slowly moving offset of 6 ms and a stroke's own scatter of 8.5 ms give the lag-1 correlation
 * (about 0.4) and the spread (about 11 ms) that professionals show against a click. */
static const double wander_ms = 6.0;
static const double wander_time_ns = 2.0e9;
static const double own_ms = 8.5;

/* A second stroke's own scatter about the middle of its neighbours: 6 ms in a fast roll, 8 ms in
 * slow doubles; never more than a sixth of its gap. */
static const double second_fast_ms = 6.0;
static const double second_slow_ms = 8.0;

/* Strokes never overtake: the nearest that one follows another, as a share of the meant gap. */
static const double least_gap_share = 0.2;

static bool has_scatter(const struct eh_demo *demo) {
    return !demo->request.exact;
}

static const struct eh_stroke *stroke_of(const struct eh_demo *demo, const struct eh_part *part) {
    return eh_plan_stroke(demo->plan, part->due);
}

static double constant_ns(const struct eh_demo *demo, size_t due) {
    const double late = eh_demo_size_at(demo, EH_DEMO_LATE, due);
    const double early = eh_demo_size_at(demo, EH_DEMO_EARLY, due);
    const double fault_ms = !isnan(late) ? late : !isnan(early) ? -early : 0.0;
    return demo->offset_ns + fault_ms * EH_NS_PER_MS;
}

static double hand_ns(const struct eh_demo *demo, int hand, size_t due) {
    const double late = eh_demo_hand_size_at(demo, EH_DEMO_LATE_HAND, hand, due);
    return demo->hand_ns[hand] + (isnan(late) ? 0.0 : late * EH_NS_PER_MS);
}

/* The scatter of every stroke as if it were a single. */
static void scatter_singles(struct eh_row *row, const struct eh_demo *demo) {
    struct eh_random random;
    eh_random_seed(&random, demo->request.seed, EH_STREAM_TIME);
    double wander = wander_ms * EH_NS_PER_MS * eh_random_normal(&random);
    for (size_t i = 0; i < row->count; i++) {
        struct eh_part *part = &row->parts[i];
        const double unsteady = eh_demo_size_at(demo, EH_DEMO_UNSTEADY, part->due);
        const double own = (isnan(unsteady) ? own_ms : unsteady) * EH_NS_PER_MS;
        const double gap = i == 0 ? 0.0 : part->plan_ns - row->parts[i - 1].plan_ns;
        const double keep = 1.0 / (1.0 + gap / wander_time_ns);
        wander = keep * wander +
                 sqrt(1.0 - keep * keep) * wander_ms * EH_NS_PER_MS * eh_random_normal(&random);
        const double scatter = wander + own * eh_random_human(&random);
        part->error_ns = has_scatter(demo) || !isnan(unsteady) ? scatter : 0.0;
    }
}

/* The error that a second stroke would have if it fell just where its neighbours put it. */
static double between(const struct eh_row *row, size_t i, double gap) {
    const struct eh_part *first = &row->parts[i - 1];
    if (i + 1 == row->count) {
        return first->error_ns;
    }
    const struct eh_part *next = &row->parts[i + 1];
    const double span = next->plan_ns - first->plan_ns;
    if (span > 3.0 * gap) {
        return first->error_ns; /* a rest follows: nothing to lean on */
    }
    return first->error_ns + (next->error_ns - first->error_ns) * gap / span;
}

/* How far a second stroke is displaced on purpose, as a share of its gap. */
static double second_share(const struct eh_demo *demo, int hand, size_t due) {
    const double late = eh_demo_hand_size_at(demo, EH_DEMO_LATE_SECONDS, hand, due);
    const double early = eh_demo_hand_size_at(demo, EH_DEMO_EARLY_SECONDS, hand, due);
    return demo->second_share[hand] + (isnan(late) ? 0.0 : late / 100.0) -
           (isnan(early) ? 0.0 : early / 100.0);
}

static double second_scatter_ns(const struct eh_demo *demo, int hand, size_t due, double gap) {
    const double fault = eh_demo_hand_size_at(demo, EH_DEMO_SCATTERED_SECONDS, hand, due);
    if (!isnan(fault)) {
        return fault / 100.0 * gap;
    }
    if (!has_scatter(demo)) {
        return 0.0;
    }
    const double gap_ms = gap / EH_NS_PER_MS;
    const double grown = second_fast_ms + (gap_ms - 50.0) / 25.0;
    const double usual = grown < second_fast_ms   ? second_fast_ms
                         : grown > second_slow_ms ? second_slow_ms
                                                  : grown;
    const double most = gap_ms / 6.0;
    return (usual < most ? usual : most) * EH_NS_PER_MS;
}

static bool is_second_of(const struct eh_demo *demo, const struct eh_row *row, size_t i) {
    if (i == 0) {
        return false;
    }
    const struct eh_stroke *first = stroke_of(demo, &row->parts[i - 1]);
    const struct eh_stroke *second = stroke_of(demo, &row->parts[i]);
    return second->kind == EH_KIND_SECOND && first->kind == EH_KIND_FIRST &&
           first->hand == second->hand;
}

/* Doubles: the second stroke leans on its neighbours and has a scatter of its own. */
static void place_seconds(struct eh_row *row, const struct eh_demo *demo) {
    struct eh_random random;
    eh_random_seed(&random, demo->request.seed, EH_STREAM_SECOND);
    for (size_t i = 0; i < row->count; i++) {
        const double z = eh_random_human(&random);
        const uint32_t due = row->parts[i].due;
        if (!isnan(eh_demo_size_at(demo, EH_DEMO_UNSTEADY, due)) || !is_second_of(demo, row, i)) {
            continue;
        }
        const int hand = stroke_of(demo, &row->parts[i])->hand;
        const double gap = row->parts[i].plan_ns - row->parts[i - 1].plan_ns;
        row->parts[i].error_ns = between(row, i, gap) + second_share(demo, hand, due) * gap +
                                 second_scatter_ns(demo, hand, due, gap) * z;
    }
}

/* What is always the same: the player's own offset and that of a hand. */
static void add_constants(struct eh_row *row, const struct eh_demo *demo) {
    for (size_t i = 0; i < row->count; i++) {
        const uint32_t due = row->parts[i].due;
        row->parts[i].error_ns += constant_ns(demo, due) + eh_demo_silent_ns(demo, due) +
                                  hand_ns(demo, stroke_of(demo, &row->parts[i])->hand, due);
    }
}

/* Plays in order, whatever the errors. */
static void keep_order(struct eh_row *row) {
    for (size_t i = 0; i < row->count; i++) {
        struct eh_part *part = &row->parts[i];
        part->at_ns = part->plan_ns + part->error_ns;
        if (i == 0) {
            continue;
        }
        const struct eh_part *before = &row->parts[i - 1];
        const double least = before->at_ns + least_gap_share * (part->plan_ns - before->plan_ns);
        part->at_ns = part->at_ns < least ? least : part->at_ns;
    }
}

void eh_row_time(struct eh_row *row, const struct eh_demo *demo) {
    scatter_singles(row, demo);
    place_seconds(row, demo);
    add_constants(row, demo);
    keep_order(row);
}
