/* How loud the demo player's strokes are, which are left out, and which catch the rim. */
#include <math.h>

#include "demo_row.h"

/* Spread of professionals' taps and accents in a passage. */
static const double tap_db = 1.5;
static const double accent_db = 0.8;
static const double strong_accent_share = 1.25; /* a strong accent, against an accent's lift */
static const double rim_db = -2.1;              /* velocity 100: a rim is caught by loud strokes */

double eh_demo_written_db(const struct eh_demo *demo, size_t due) {
    const struct eh_stroke *stroke = eh_plan_stroke(demo->plan, due);
    const double flat = eh_demo_size_at(demo, EH_DEMO_FLAT_DYNAMICS, due);
    const double turned = eh_demo_size_at(demo, EH_DEMO_REVERSED_HAIRPINS, due);
    double step = stroke->step_milli / 1000.0;
    if (!isnan(turned) && stroke->hairpin >= 0) {
        step = stroke->dynamic - (step - stroke->dynamic) * turned / 100.0;
    }
    step -= EH_DYNAMIC_MF;
    return (isnan(flat) ? 1.0 : flat / 100.0) * step * demo->mark_db;
}

static double hand_db(const struct eh_demo *demo, int hand, size_t due) {
    const double strong = eh_demo_hand_size_at(demo, EH_DEMO_STRONG_HAND, hand, due);
    return demo->hand_db[hand] + (isnan(strong) ? 0.0 : strong);
}

static double second_db(const struct eh_demo *demo, int hand, size_t due) {
    const double weak = eh_demo_hand_size_at(demo, EH_DEMO_WEAK_SECONDS, hand, due);
    const double strong = eh_demo_hand_size_at(demo, EH_DEMO_STRONG_SECONDS, hand, due);
    return demo->second_db[hand] - (isnan(weak) ? 0.0 : weak) + (isnan(strong) ? 0.0 : strong);
}

static double meant_db(const struct eh_demo *demo, size_t due) {
    const struct eh_stroke *stroke = eh_plan_stroke(demo->plan, due);
    double level = demo->mf_db + eh_demo_written_db(demo, due) + hand_db(demo, stroke->hand, due);
    if (stroke->accent > 0) {
        level += eh_demo_lift_db(demo, due) * (stroke->accent > 1 ? strong_accent_share : 1.0);
    }
    if (stroke->kind == EH_KIND_SECOND) {
        level += second_db(demo, stroke->hand, due);
    }
    return level;
}

static double spread_db(const struct eh_demo *demo, size_t due) {
    const struct eh_stroke *stroke = eh_plan_stroke(demo->plan, due);
    const double uneven = eh_demo_size_at(demo, EH_DEMO_UNEVEN_TAPS, due);
    if (stroke->accent == 0 && !isnan(uneven)) {
        return uneven;
    }
    return demo->request.exact ? 0.0 : stroke->accent > 0 ? accent_db : tap_db;
}

static void set_levels(struct eh_row *row, const struct eh_demo *demo) {
    struct eh_random random;
    eh_random_seed(&random, demo->request.seed, EH_STREAM_LEVEL);
    for (size_t i = 0; i < row->count; i++) {
        const uint32_t due = row->parts[i].due;
        row->parts[i].level_db =
            meant_db(demo, due) + spread_db(demo, due) * eh_random_human(&random);
    }
}

/* How many of N a fault of PERCENT takes: the nearest, at least one. */
static size_t how_many(size_t n, double percent) {
    const size_t count = (size_t)((double)n * percent / 100.0 + 0.5);
    return count < 1 ? 1 : count > n ? n : count;
}

/* Whether FAULT may take this stroke: it shows there, and none has taken it before. */
static bool is_free(const struct eh_demo *demo, const struct eh_demo_fault *fault,
                    const struct eh_part *part) {
    return eh_demo_fault_at(demo, fault, part->due) &&
           !(fault->kind == EH_DEMO_RIM ? part->rim : part->left_out);
}

static void take(struct eh_part *part, const struct eh_demo_fault *fault) {
    if (fault->kind == EH_DEMO_RIM) {
        part->rim = true;
        part->level_db = part->level_db < rim_db ? rim_db : part->level_db;
    } else {
        part->left_out = true;
    }
}

/* Takes its share of the strokes in which FAULT shows. */
static void take_strokes(struct eh_row *row, const struct eh_demo *demo,
                         const struct eh_demo_fault *fault, struct eh_random *random) {
    size_t count = 0;
    for (size_t i = 0; i < row->count; i++) {
        count += is_free(demo, fault, &row->parts[i]);
    }
    for (size_t left = count > 0 ? how_many(count, fault->size) : 0; left > 0;) {
        struct eh_part *part = &row->parts[eh_random_index(random, row->count)];
        if (is_free(demo, fault, part)) {
            take(part, fault);
            left--;
        }
    }
}

static void take_all(struct eh_row *row, const struct eh_demo *demo, enum eh_demo_fault_kind kind,
                     enum eh_demo_stream stream) {
    struct eh_random random;
    eh_random_seed(&random, demo->request.seed, stream);
    for (size_t i = 0; i < demo->request.fault_count; i++) {
        if (demo->request.faults[i].kind == kind) {
            take_strokes(row, demo, &demo->request.faults[i], &random);
        }
    }
}

void eh_row_level(struct eh_row *row, const struct eh_demo *demo) {
    set_levels(row, demo);
    take_all(row, demo, EH_DEMO_MISSED, EH_STREAM_MISSED);
    take_all(row, demo, EH_DEMO_RIM, EH_STREAM_RIM);
}
