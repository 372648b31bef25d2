/* From the findings of a visit's passes to one answer. */
#include "visit.h"

#include <math.h>
#include <string.h>

static size_t key_of(const struct eh_finding *f) {
    return (size_t)f->aspect * 3 + (f->side <= EH_SIDE_BOTH ? f->side : EH_SIDE_BOTH);
}

static bool is_asked(const struct eh_ladder *ladder, const struct eh_finding *f) {
    return f->aspect < EH_ASPECT_COUNT && (ladder->request.aspects >> f->aspect & 1u) != 0;
}

void row_begin(struct eh_ladder *ladder) {
    ladder->row_passes = 0;
    ladder->row_clean = 0;
    memset(ladder->row, 0, EH_LADDER_KEYS * sizeof *ladder->row);
}

void visit_begin(struct eh_ladder *ladder) {
    row_begin(ladder);
    ladder->visit_passes = 0;
    ladder->visit_unclean = 0;
    memset(ladder->shown, 0, EH_LADDER_KEYS * sizeof *ladder->shown);
}

/* Unclear although its numbers decide, or without numbers: the pad or the clock is in the way. */
static bool beyond_help(const struct eh_ladder *ladder, const struct eh_finding *f) {
    const enum eh_standing place = eh_finding_stands(f, ladder->request.least_n);
    const bool no_numbers = !isfinite(f->value) || !isfinite(f->low);
    return f->fault == EH_FAULT_UNCLEAR && (no_numbers || place == EH_STANDS_INSIDE ||
                                            place == EH_STANDS_BELOW || place == EH_STANDS_ABOVE);
}

/* How far a value lies beyond its limits: the order of the report (docs/judgement.md), as a rule
 * of thumb for which of several faults to name. */
static double weight_of(double value, double low, double high, double n) {
    const double width = isnan(low) ? fabs(high) : isnan(high) ? fabs(low) : high - low;
    const double beyond = fmax(isnan(high) ? 0.0 : value - high, isnan(low) ? 0.0 : low - value);
    const double times = width > 0.0 ? beyond / width : 4.0;
    return fmin(fmax(times, 0.1), 4.0) * sqrt(n > 1.0 ? n : 1.0);
}

static struct eh_ladder_fault fault_of(const struct eh_ladder *ladder, size_t key) {
    return (struct eh_ladder_fault){.known = true,
                                    .bpm = ladder->rungs[ladder->rung].bpm,
                                    .stage = ladder->step.stage,
                                    .aspect = (uint8_t)(key / 3),
                                    .side = (uint8_t)(key % 3)};
}

static void show(struct eh_ladder *ladder, const struct eh_ladder_pass *pass,
                 const struct eh_finding *f) {
    struct eh_ladder_shown *shown = &ladder->shown[key_of(f)];
    if (shown->passes > 0 && (shown->direction != f->direction || shown->verdict != f->verdict)) {
        shown->pool = (struct eh_pool){0};
    }
    shown->passes++;
    shown->weight += weight_of(f->value, f->limit_low, f->limit_high, f->n);
    shown->verdict = f->verdict;
    shown->direction = f->direction;
    (void)eh_pool_add(&shown->pool, f, pass->level_scale_sd);
}

static void keep_worst(const struct eh_ladder *ladder, const struct eh_finding *f, double *weight,
                       struct eh_ladder_fault *worst) {
    const double own = weight_of(f->value, f->limit_low, f->limit_high, f->n);
    if (own > *weight) {
        *weight = own;
        *worst = fault_of(ladder, key_of(f));
        worst->verdict = f->verdict;
        worst->direction = f->direction;
        worst->passes = 1;
        worst->e = (struct eh_estimate){f->value, f->low, f->high, f->n};
        worst->limit_low = f->limit_low;
        worst->limit_high = f->limit_high;
        memcpy(worst->unit, f->unit, sizeof worst->unit);
    }
}

/* Too few strokes in one pass, which the row's passes may have together: not against the pass. */
static bool too_few(const struct eh_ladder *ladder, const struct eh_finding *f) {
    return eh_finding_stands(f, ladder->request.least_n) == EH_STANDS_FEW;
}

/* The pass's own answer; sets aside what cannot be judged. */
static enum eh_ladder_answer read_pass(struct eh_ladder *ladder, const struct eh_ladder_pass *pass,
                                       struct eh_ladder_fault *out_worst) {
    size_t fine = 0;
    size_t unclear = 0;
    double weight = 0.0;
    ladder->set_aside = 0;
    for (size_t i = 0; i < pass->finding_count; i++) {
        const struct eh_finding *f = &pass->findings[i];
        if (!is_asked(ladder, f)) {
            continue;
        }
        if (f->fault == EH_FAULT_YES) {
            keep_worst(ladder, f, &weight, out_worst);
        } else if (beyond_help(ladder, f)) {
            ladder->set_aside |= UINT64_C(1) << key_of(f);
        } else if (f->fault == EH_FAULT_NO) {
            fine++;
        } else {
            unclear += !too_few(ladder, f);
        }
    }
    return out_worst->known           ? EH_PASS_UNCLEAN
           : fine > 0 && unclear == 0 ? EH_PASS_CLEAN
                                      : EH_PASS_UNCLEAR;
}

static void fill_pools(struct eh_ladder *ladder, const struct eh_ladder_pass *pass) {
    for (size_t i = 0; i < pass->finding_count; i++) {
        const struct eh_finding *f = &pass->findings[i];
        if (is_asked(ladder, f) && (ladder->set_aside >> key_of(f) & 1u) == 0) {
            (void)eh_pool_add(&ladder->row[key_of(f)], f, pass->level_scale_sd);
        }
    }
}

enum eh_ladder_answer visit_take(struct eh_ladder *ladder, const struct eh_ladder_pass *pass,
                                 struct eh_ladder_fault *out_worst) {
    *out_worst = (struct eh_ladder_fault){0};
    ladder->visit_passes++;
    if (pass->broken_off) {
        return EH_PASS_UNCLEAR;
    }
    const enum eh_ladder_answer answer = read_pass(ladder, pass, out_worst);
    if (answer == EH_PASS_UNCLEAN) {
        row_begin(ladder);
        ladder->visit_unclean++;
        for (size_t i = 0; i < pass->finding_count; i++) {
            const struct eh_finding *f = &pass->findings[i];
            if (is_asked(ladder, f) && f->fault == EH_FAULT_YES) {
                show(ladder, pass, f);
            }
        }
        return answer;
    }
    ladder->row_passes++;
    ladder->row_clean += answer == EH_PASS_CLEAN;
    fill_pools(ladder, pass);
    return answer;
}

static enum row_verdict row_key(const struct eh_ladder *ladder, size_t key) {
    switch (eh_pool_stands(&ladder->row[key], (enum eh_aspect)(key / 3), ladder->request.least_n)) {
    case EH_STANDS_INSIDE:
        return ROW_FINE;
    case EH_STANDS_BELOW:
    case EH_STANDS_ABOVE:
        return ROW_BEYOND;
    case EH_STANDS_STRADDLES:
        return ROW_STRADDLES;
    case EH_STANDS_FEW:
    case EH_STANDS_WIDE:
        break;
    }
    return ROW_INSIDE;
}

/* The words for a number below or above its limits, where no single pass bears them; those of
 * docs/judgement.md. */
struct way {
    uint8_t below, below_way, above, above_way;
};

static const struct way ways[EH_ASPECT_COUNT] = {
    [EH_ASPECT_DIDDLE_SPACING] = {EH_VERDICT_UNEVEN, EH_DIRECTION_EARLY, EH_VERDICT_UNEVEN,
                                  EH_DIRECTION_LATE},
    [EH_ASPECT_DIDDLE_LEVEL] = {EH_VERDICT_UNEVEN, EH_DIRECTION_WEAK, EH_VERDICT_UNEVEN,
                                EH_DIRECTION_STRONG},
    [EH_ASPECT_ACCENT] = {EH_VERDICT_UNDER, 0, EH_VERDICT_OVERBLOWN, 0},
    [EH_ASPECT_UNMARKED_ACCENT] = {0, 0, EH_VERDICT_STICKS_OUT, 0},
    [EH_ASPECT_TAP_LEVEL] = {0, 0, EH_VERDICT_UNEVEN, 0},
    [EH_ASPECT_FLAM_GAP] = {EH_VERDICT_FLAT, 0, EH_VERDICT_WIDE, 0},
    [EH_ASPECT_GRACE_LEVEL] = {EH_VERDICT_LOUD, 0, 0, 0},
    [EH_ASPECT_BUZZ] = {EH_VERDICT_THIN, 0, EH_VERDICT_GAPPED, 0},
    [EH_ASPECT_HAND_LEVEL] = {EH_VERDICT_UNMATCHED, EH_DIRECTION_LEFT_SOFT, EH_VERDICT_UNMATCHED,
                              EH_DIRECTION_RIGHT_SOFT},
    [EH_ASPECT_HAND_TIMING] = {EH_VERDICT_UNMATCHED, EH_DIRECTION_RIGHT_LATE, EH_VERDICT_UNMATCHED,
                               EH_DIRECTION_LEFT_LATE},
    [EH_ASPECT_TIMING] = {0, 0, EH_VERDICT_UNSTEADY, 0},
    [EH_ASPECT_TEMPO] = {EH_VERDICT_DRIFTING, EH_DIRECTION_DRAGGING, EH_VERDICT_DRIFTING,
                         EH_DIRECTION_RUSHING},
    [EH_ASPECT_MISSED] = {0, 0, EH_VERDICT_SOME, 0},
    [EH_ASPECT_EXTRA] = {0, 0, EH_VERDICT_SOME, 0},
    [EH_ASPECT_DYNAMICS] = {EH_VERDICT_OFF, EH_DIRECTION_SOFT, EH_VERDICT_OFF, EH_DIRECTION_LOUD},
    [EH_ASPECT_HAIRPIN] = {EH_VERDICT_FLAT, 0, 0, 0},
    [EH_ASPECT_RIM] = {0, 0, EH_VERDICT_SOME, 0},
    [EH_ASPECT_STICKING] = {0, 0, EH_VERDICT_OFF, 0}};

static void name_way(struct eh_ladder_fault *fault) {
    const struct way *way = &ways[fault->aspect];
    if (fault->e.value < fault->limit_low) {
        fault->verdict = way->below;
        fault->direction = way->below_way;
    } else if (fault->e.value > fault->limit_high) {
        fault->verdict = way->above;
        fault->direction = way->above_way;
    }
    if (fault->aspect == EH_ASPECT_DYNAMICS && isnan(fault->limit_high)) {
        fault->direction = EH_DIRECTION_FLAT; /* the contrast, not a passage */
    }
}

static struct eh_ladder_fault row_fault(const struct eh_ladder *ladder, size_t key) {
    struct eh_ladder_fault fault = fault_of(ladder, key);
    fault.e = eh_pool_estimate(&ladder->row[key], &fault.limit_low, &fault.limit_high);
    fault.passes = ladder->row[key].passes;
    memcpy(fault.unit, ladder->row[key].unit, sizeof fault.unit);
    name_way(&fault);
    return fault;
}

enum row_verdict row_weigh(const struct eh_ladder *ladder, struct eh_ladder_fault *out_fault) {
    enum row_verdict worst = ROW_FINE;
    double weight = 0.0;
    bool any = false;
    *out_fault = (struct eh_ladder_fault){0};
    for (size_t key = 0; key < EH_LADDER_KEYS; key++) {
        if (ladder->row[key].passes == 0) {
            continue;
        }
        any = true;
        const enum row_verdict own = row_key(ladder, key);
        const struct eh_ladder_fault fault = row_fault(ladder, key);
        const double heavy =
            weight_of(fault.e.value, fault.limit_low, fault.limit_high, (double)fault.e.n);
        if (own > worst || (own != ROW_FINE && own == worst && heavy > weight)) {
            worst = own;
            weight = heavy;
            *out_fault = fault;
        }
    }
    return any ? worst : ROW_INSIDE;
}

struct eh_ladder_fault visit_worst(const struct eh_ladder *ladder) {
    const struct eh_ladder_shown *worst = NULL;
    for (size_t key = 0; key < EH_LADDER_KEYS; key++) {
        const struct eh_ladder_shown *s = &ladder->shown[key];
        if (s->passes > 0 && (worst == NULL || s->passes > worst->passes ||
                              (s->passes == worst->passes && s->weight > worst->weight))) {
            worst = s;
        }
    }
    if (worst == NULL) {
        return (struct eh_ladder_fault){0};
    }
    struct eh_ladder_fault fault = fault_of(ladder, (size_t)(worst - ladder->shown));
    fault.verdict = worst->verdict;
    fault.direction = worst->direction;
    fault.passes = worst->passes;
    fault.e = eh_pool_estimate(&worst->pool, &fault.limit_low, &fault.limit_high);
    memcpy(fault.unit, worst->pool.unit, sizeof fault.unit);
    return fault;
}
