#include "evenhand/contrast.h"

#include <math.h>

#include "map_reach.h"

bool eh_contrast_init(struct eh_contrast *out, const struct eh_style *a, const struct eh_style *b) {
    const bool rising = a->accent_low_db <= b->accent_low_db;
    const struct eh_style *lower = rising ? a : b;
    const struct eh_style *higher = rising ? b : a;
    *out = (struct eh_contrast){.least_db = higher->accent_low_db - lower->accent_low_db};
    out->sides[EH_CONTRAST_LOWER].style = lower;
    out->sides[EH_CONTRAST_HIGHER].style = higher;
    return out->least_db >= EH_CONTRAST_LIMEN_DB;
}

enum eh_contrast_level eh_contrast_level_of(const struct eh_contrast *contrast,
                                            const struct eh_style *style) {
    return style == contrast->sides[EH_CONTRAST_HIGHER].style ? EH_CONTRAST_HIGHER
                                                              : EH_CONTRAST_LOWER;
}

struct eh_contrast_pass eh_contrast_read(const struct eh_judgement *judgement) {
    const struct eh_plan *plan = &judgement->plan;
    struct eh_contrast_pass pass = {.findings = judgement->findings,
                                    .finding_count = judgement->finding_count,
                                    .level_scale_sd = judgement->pad->levels.scale_sd};
    for (size_t i = 0; i < plan->due_count; i++) {
        const int32_t hit = judgement->matches[i].hit;
        if (eh_plan_stroke(plan, i)->accent > 0 && hit != EH_NO_HIT) {
            pass.accents++;
            pass.topped += eh_pad_saturated(judgement->pad, &judgement->take->hits[hit]);
        }
    }
    return pass;
}

bool eh_contrast_add(struct eh_contrast *contrast, enum eh_contrast_level level,
                     const struct eh_contrast_pass *pass) {
    struct eh_contrast_side *side = &contrast->sides[level];
    bool added = false;
    for (size_t i = 0; i < pass->finding_count; i++) {
        const struct eh_finding *f = &pass->findings[i];
        if (f->aspect != EH_ASPECT_ACCENT ||
            !eh_pool_add(&side->accents, f, pass->level_scale_sd)) {
            continue;
        }
        added = true;
        if (f->side != EH_SIDE_BOTH) {
            (void)eh_pool_add(&side->hands[f->side == EH_SIDE_RIGHT], f, pass->level_scale_sd);
        }
    }
    if (added) {
        side->passes++;
        side->heard += pass->accents;
        side->topped += pass->topped;
    }
    return added;
}

static enum eh_verdict verdict_of(enum eh_standing standing, bool at_top) {
    if (at_top && standing != EH_STANDS_ABOVE) {
        return EH_VERDICT_UNCLEAR;
    }
    return standing == EH_STANDS_INSIDE  ? EH_VERDICT_RIGHT_SIZED
           : standing == EH_STANDS_BELOW ? EH_VERDICT_UNDER
           : standing == EH_STANDS_ABOVE ? EH_VERDICT_OVERBLOWN
                                         : EH_VERDICT_UNCLEAR;
}

static struct eh_contrast_height height_of(const struct eh_contrast_side *side) {
    struct eh_contrast_height out = {.at_top = 2 * side->topped > side->heard};
    out.height = eh_pool_estimate(&side->accents, &out.limit_low, &out.limit_high);
    out.verdict = verdict_of(eh_pool_stands(&side->accents, EH_ASPECT_ACCENT, side->style->least_n),
                             out.at_top);
    return out;
}

/* The pooled height by the reading alone, as if the map were exact. */
static struct eh_estimate reading_of(const struct eh_contrast_side *side) {
    struct eh_pool pool = side->accents;
    double low = 0.0;
    double high = 0.0;
    pool.scale_sd = 0.0;
    return eh_pool_estimate(&pool, &low, &high);
}

static struct eh_estimate difference_of(const struct eh_contrast *contrast) {
    const struct eh_contrast_side *sides = contrast->sides;
    const struct eh_estimate lower = reading_of(&sides[EH_CONTRAST_LOWER]);
    const struct eh_estimate higher = reading_of(&sides[EH_CONTRAST_HIGHER]);
    const double value = higher.value - lower.value;
    double down = 0.0;
    double up = 0.0;
    pool_map_reach(value, sides[EH_CONTRAST_HIGHER].accents.scale_sd, &down, &up);
    const double below = hypot(higher.value - higher.low, lower.high - lower.value);
    const double above = hypot(higher.high - higher.value, lower.value - lower.low);
    return (struct eh_estimate){.value = value,
                                .low = value - hypot(below, down),
                                .high = value + hypot(above, up),
                                .n = higher.n < lower.n ? higher.n : lower.n};
}

static enum eh_contrast_reason evidence(const struct eh_contrast *contrast) {
    bool few = false;
    for (int level = 0; level < 2; level++) {
        const struct eh_contrast_side *side = &contrast->sides[level];
        if (side->passes == 0) {
            return EH_CONTRAST_NO_PASS;
        }
        few |= (double)side->accents.n < side->style->least_n;
    }
    return few ? EH_CONTRAST_FEW : EH_CONTRAST_DECIDED;
}

static void place(const struct eh_contrast *contrast, struct eh_contrast_answer *out) {
    const struct eh_estimate *d = &out->difference;
    if (d->high < contrast->least_db) {
        out->verdict = d->high < -EH_CONTRAST_LIMEN_DB ? EH_CONTRAST_TURNED : EH_CONTRAST_SMALL;
    } else if (d->value < contrast->least_db) {
        out->reason = EH_CONTRAST_STRADDLES;
    } else if (d->low <= 0.0) {
        out->reason = EH_CONTRAST_WIDE;
    } else {
        out->verdict = EH_CONTRAST_THERE;
    }
}

/* Accents at the pad's top were at least so high. In the higher style that only widens a contrast;
 * in the lower one it only narrows it. */
static void allow_for_top(struct eh_contrast_answer *out) {
    const bool lower = out->heights[EH_CONTRAST_LOWER].at_top;
    const bool higher = out->heights[EH_CONTRAST_HIGHER].at_top;
    const bool holds = (!lower || out->verdict != EH_CONTRAST_THERE) &&
                       (!higher || out->verdict == EH_CONTRAST_THERE);
    out->at_least = higher && !lower;
    if (!holds) {
        out->verdict = EH_CONTRAST_UNCLEAR;
        out->reason = EH_CONTRAST_TOP;
    }
}

void eh_contrast_answer(const struct eh_contrast *contrast, struct eh_contrast_answer *out) {
    *out =
        (struct eh_contrast_answer){.verdict = EH_CONTRAST_UNCLEAR, .reason = evidence(contrast)};
    for (int level = 0; level < 2; level++) {
        out->heights[level] = height_of(&contrast->sides[level]);
    }
    out->difference = difference_of(contrast);
    if (out->reason == EH_CONTRAST_DECIDED) {
        place(contrast, out);
        allow_for_top(out);
    }
}

const char *eh_contrast_verdict_text(enum eh_contrast_verdict verdict) {
    switch (verdict) {
    case EH_CONTRAST_UNCLEAR:
        return "unclear";
    case EH_CONTRAST_THERE:
        return "there";
    case EH_CONTRAST_SMALL:
        return "too-small";
    case EH_CONTRAST_TURNED:
        return "turned-round";
    }
    return "unclear";
}
