/* How loud the demo player's strokes are, which are left out, and which catch the rim. */
#include <math.h>

#include "demo_row.h"

/* Spread of professionals' taps and accents in a passage. */
static const double tap_db = 1.5;
static const double accent_db = 0.8;
static const double strong_accent_share = 1.25; /* a strong accent, against an accent's lift */
static const double rim_db = -2.1;              /* velocity 100: a rim is caught by loud strokes */

double eh_demo_written_db(const struct eh_demo *demo, const struct eh_stroke *stroke) {
    const double flat = eh_demo_size(demo, EH_DEMO_FLAT_DYNAMICS);
    const double turned = eh_demo_size(demo, EH_DEMO_REVERSED_HAIRPINS);
    double step = stroke->step_milli / 1000.0;
    if (!isnan(turned) && stroke->hairpin >= 0) {
        step = stroke->dynamic - (step - stroke->dynamic) * turned / 100.0;
    }
    step -= EH_DYNAMIC_MF;
    return (isnan(flat) ? 1.0 : flat / 100.0) * step * demo->mark_db;
}

static double hand_db(const struct eh_demo *demo, int hand) {
    const double strong = eh_demo_hand_size(demo, EH_DEMO_STRONG_HAND, hand);
    return demo->hand_db[hand] + (isnan(strong) ? 0.0 : strong);
}

static double second_db(const struct eh_demo *demo, int hand) {
    const double weak = eh_demo_hand_size(demo, EH_DEMO_WEAK_SECONDS, hand);
    const double strong = eh_demo_hand_size(demo, EH_DEMO_STRONG_SECONDS, hand);
    return demo->second_db[hand] - (isnan(weak) ? 0.0 : weak) + (isnan(strong) ? 0.0 : strong);
}

static double meant_db(const struct eh_demo *demo, const struct eh_stroke *stroke) {
    double level = demo->mf_db + eh_demo_written_db(demo, stroke) + hand_db(demo, stroke->hand);
    if (stroke->accent > 0) {
        level += demo->lift_db * (stroke->accent > 1 ? strong_accent_share : 1.0);
    }
    if (stroke->kind == EH_KIND_SECOND) {
        level += second_db(demo, stroke->hand);
    }
    return level;
}

static double spread_db(const struct eh_demo *demo, const struct eh_stroke *stroke) {
    const double uneven = eh_demo_size(demo, EH_DEMO_UNEVEN_TAPS);
    if (stroke->accent == 0 && !isnan(uneven)) {
        return uneven;
    }
    return demo->request.exact ? 0.0 : stroke->accent > 0 ? accent_db : tap_db;
}

static void set_levels(struct eh_row *row, const struct eh_demo *demo) {
    struct eh_random random;
    eh_random_seed(&random, demo->request.seed, EH_STREAM_LEVEL);
    for (size_t i = 0; i < row->count; i++) {
        const struct eh_stroke *stroke = eh_plan_stroke(demo->plan, row->parts[i].due);
        row->parts[i].level_db =
            meant_db(demo, stroke) + spread_db(demo, stroke) * eh_random_human(&random);
    }
}

/* How many of N a fault of PERCENT takes: the nearest, at least one. */
static size_t how_many(size_t n, double percent) {
    const size_t count = (size_t)((double)n * percent / 100.0 + 0.5);
    return count < 1 ? 1 : count > n ? n : count;
}

static void leave_out(struct eh_row *row, const struct eh_demo *demo) {
    const double percent = eh_demo_size(demo, EH_DEMO_MISSED);
    if (isnan(percent) || row->count == 0) {
        return;
    }
    struct eh_random random;
    eh_random_seed(&random, demo->request.seed, EH_STREAM_MISSED);
    for (size_t left = how_many(row->count, percent); left > 0;) {
        struct eh_part *part = &row->parts[eh_random_index(&random, row->count)];
        left -= !part->left_out;
        part->left_out = true;
    }
}

static void catch_rim(struct eh_row *row, const struct eh_demo *demo) {
    const double percent = eh_demo_size(demo, EH_DEMO_RIM);
    if (isnan(percent) || row->count == 0) {
        return;
    }
    struct eh_random random;
    eh_random_seed(&random, demo->request.seed, EH_STREAM_RIM);
    for (size_t left = how_many(row->count, percent); left > 0;) {
        struct eh_part *part = &row->parts[eh_random_index(&random, row->count)];
        left -= !part->rim;
        part->rim = true;
        part->level_db = part->level_db < rim_db ? rim_db : part->level_db;
    }
}

void eh_row_level(struct eh_row *row, const struct eh_demo *demo) {
    set_levels(row, demo);
    leave_out(row, demo);
    catch_rim(row, demo);
}
