#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "property.h"

/* ---- Hits and strokes ---- */

/* Where hits begin and cease to count (docs/judgement.md): half the first stroke's spacing before
 * it, half a beat after the last bar line, for every pass. */
static bool is_within(const struct eh_plan *plan, int64_t at_ns) {
    const size_t bars = plan->bar_count / (size_t)plan->passes;
    for (size_t pass = 0; pass < (size_t)plan->passes; pass++) {
        const struct eh_plan_bar *first = &plan->bars[pass * bars];
        const struct eh_plan_bar *last = first + bars - 1;
        const struct eh_due *due = &plan->due[first->first_due];
        const int64_t beat_ns = (last->end_ns - last->at_ns) / last->beats;
        if (at_ns >= due->at_ns - due->spacing_ns / 2 && at_ns <= last->end_ns + beat_ns / 2) {
            return true;
        }
    }
    return false;
}

static bool fate_is_sound(const struct eh_judgement *j, size_t hit, struct eh_text *why) {
    const struct eh_fate *fate = &j->fates[hit];
    switch ((enum eh_fate_kind)fate->kind) {
    case EH_FATE_STROKE:
        if (fate->due >= j->plan.due_count || j->matches[fate->due].hit != (int32_t)hit) {
            eh_text_printf(why, "hit %zu is said to be stroke %u, which is hit %d", hit,
                           (unsigned)fate->due, (int)j->matches[fate->due].hit);
            return false;
        }
        return true;
    case EH_FATE_BOUNCE:
        if (fate->due >= j->plan.due_count ||
            eh_plan_stroke(&j->plan, fate->due)->kind != EH_KIND_BUZZ ||
            j->matches[fate->due].hit == EH_NO_HIT || j->matches[fate->due].hit >= (int32_t)hit) {
            eh_text_printf(why, "hit %zu is a bounce of stroke %u", hit, (unsigned)fate->due);
            return false;
        }
        return true;
    case EH_FATE_OUTSIDE:
        if (is_within(&j->plan, j->take->hits[hit].at_ns)) {
            eh_text_printf(why,
                           "hit %zu at %.3f s lies within the exercise (%.3f s to %.3f s) and is "
                           "not judged",
                           hit, (double)j->take->hits[hit].at_ns / 1e9,
                           (double)j->plan.start_ns / 1e9, (double)j->plan.end_ns / 1e9);
            return false;
        }
        return true;
    case EH_FATE_EXTRA:
    case EH_FATE_DOUBLE_TRIGGER:
        return true;
    case EH_FATE_PENDING:
        break;
    }
    eh_text_printf(why, "hit %zu has no fate", hit);
    return false;
}

static bool fates_are_sound(const struct eh_judgement *j, struct eh_text *why) {
    for (size_t i = 0; i < j->take->count; i++) {
        if (!fate_is_sound(j, i, why)) {
            return false;
        }
    }
    return true;
}

/* Every hit that a stroke names says so too; in playing order hits rise as long as the player's
 * place in the score does not move, and a grace note's hit lies before its main stroke's. */
static bool matches_are_sound(const struct eh_judgement *j, struct eh_text *why) {
    int32_t last = EH_NO_HIT;
    int64_t shift_ns = 0;
    for (size_t i = 0; i < j->plan.due_count; i++) {
        const struct eh_match *match = &j->matches[i];
        const size_t main = j->plan.due[i].main;
        if (match->hit == EH_NO_HIT) {
            continue;
        }
        const struct eh_fate *fate = &j->fates[match->hit];
        last = match->shift_ns == shift_ns ? last : EH_NO_HIT;
        shift_ns = match->shift_ns;
        if (match->hit <= last || (size_t)match->hit >= j->take->count ||
            fate->kind != EH_FATE_STROKE || fate->due != i) {
            eh_text_printf(why,
                           "stroke %zu is hit %d, the one before hit %d; that hit is of "
                           "stroke %u",
                           i, (int)match->hit, (int)last, (unsigned)fate->due);
            return false;
        }
        if (main != i && j->matches[main].hit <= match->hit) {
            eh_text_printf(why, "the grace note %zu is hit %d, its main stroke hit %d", i,
                           (int)match->hit, (int)j->matches[main].hit);
            return false;
        }
        last = match->hit;
    }
    return true;
}

static bool bounces_are_counted(const struct eh_judgement *j, struct eh_text *why) {
    int32_t *bounces = calloc(j->plan.due_count, sizeof *bounces);
    bool sound = true;
    if (bounces == NULL) {
        abort();
    }
    for (size_t i = 0; i < j->take->count; i++) {
        if (j->fates[i].kind == EH_FATE_BOUNCE) {
            bounces[j->fates[i].due]++;
        }
    }
    for (size_t i = 0; sound && i < j->plan.due_count; i++) {
        sound = bounces[i] == j->matches[i].bounces;
        if (!sound) {
            eh_text_printf(why, "stroke %zu: %d bounces, %d hits say so", i,
                           (int)j->matches[i].bounces, (int)bounces[i]);
        }
    }
    free(bounces);
    return sound;
}

static bool counts_add_up(const struct eh_judgement *j, struct eh_text *why) {
    size_t matched = 0;
    size_t kinds[EH_FATE_OUTSIDE + 1] = {0};
    for (size_t i = 0; i < j->plan.due_count; i++) {
        matched += j->matches[i].hit != EH_NO_HIT;
    }
    for (size_t i = 0; i < j->take->count; i++) {
        kinds[j->fates[i].kind]++;
    }
    if (matched != j->matched || j->matched + j->missed != j->plan.due_count ||
        kinds[EH_FATE_STROKE] != matched || kinds[EH_FATE_EXTRA] != j->extra ||
        kinds[EH_FATE_DOUBLE_TRIGGER] != j->double_triggers) {
        eh_text_printf(why, "%u matched, %u missed, %u extra, %u echoes do not add up",
                       (unsigned)j->matched, (unsigned)j->missed, (unsigned)j->extra,
                       (unsigned)j->double_triggers);
        return false;
    }
    return true;
}

static bool courses_are_sound(const struct eh_judgement *j, struct eh_text *why) {
    for (size_t i = 0; i < j->course_count; i++) {
        if (j->courses[i].due >= j->plan.due_count ||
            j->plan.due[j->courses[i].due].main != j->courses[i].due ||
            (i > 0 && j->courses[i].at_ns < j->courses[i - 1].at_ns)) {
            eh_text_printf(why, "course %zu: stroke %u at %lld ns, the one before at %lld ns", i,
                           (unsigned)j->courses[i].due, (long long)j->courses[i].at_ns,
                           i > 0 ? (long long)j->courses[i - 1].at_ns : 0);
            return false;
        }
    }
    return true;
}

/* ---- Findings ---- */

static double lower(double limit) {
    return isnan(limit) ? -INFINITY : limit;
}

static double upper(double limit) {
    return isnan(limit) ? INFINITY : limit;
}

/* A fault is one whose whole interval lies beyond a limit; what is fine lies within. */
static bool verdict_is_sound(const struct eh_finding *f) {
    const bool known = isfinite(f->value) && isfinite(f->low) && isfinite(f->high);
    const bool beyond = known && (f->low > upper(f->limit_high) || f->high < lower(f->limit_low));
    const bool within =
        known && f->value <= upper(f->limit_high) && f->value >= lower(f->limit_low);
    switch ((enum eh_fault)f->fault) {
    case EH_FAULT_YES:
        return beyond && f->verdict != EH_VERDICT_UNCLEAR;
    case EH_FAULT_NO:
        return within && f->direction == EH_DIRECTION_NONE && f->verdict != EH_VERDICT_UNCLEAR;
    case EH_FAULT_UNCLEAR:
        return f->verdict == EH_VERDICT_UNCLEAR && f->direction == EH_DIRECTION_NONE;
    }
    return false;
}

static bool numbers_are_sound(const struct eh_finding *f) {
    const bool ends = isnan(f->low) == isnan(f->high);
    const double least = 1e-9; /* rounding */
    const bool around =
        isnan(f->low) || (f->low <= f->value + least && f->value <= f->high + least);
    const bool whole = strlen(f->text) < EH_FINDING_TEXT - 1; /* nothing cut off */
    const bool limits =
        isnan(f->limit_low) || isnan(f->limit_high) || f->limit_low <= f->limit_high;
    return ends && around && limits && !isinf(f->value) && !isinf(f->low) && !isinf(f->high) &&
           f->text[0] != '\0' && whole && f->unit[0] != '\0';
}

static bool bars_are_sound(const struct eh_judgement *j, const struct eh_finding *f) {
    for (uint32_t i = 0; i < f->bar_count; i++) {
        bool played = false;
        for (size_t bar = 0; bar < j->plan.bar_count; bar++) {
            played = played || j->plan.bars[bar].written == f->bars[i];
        }
        if (!played || (i > 0 && f->bars[i] <= f->bars[i - 1])) {
            return false;
        }
    }
    return f->bar_count <= EH_FINDING_BARS;
}

static bool findings_are_sound(const struct eh_judgement *j, struct eh_text *why) {
    for (size_t i = 0; i < j->finding_count; i++) {
        const struct eh_finding *f = &j->findings[i];
        const char *wrong = !verdict_is_sound(f)    ? "the verdict does not follow"
                            : !numbers_are_sound(f) ? "the numbers do not fit"
                            : !bars_are_sound(j, f) ? "the bars do not exist"
                            : f->n > j->plan.due_count + j->take->count ? "n is too large"
                                                                        : NULL;
        if (wrong != NULL) {
            eh_text_printf(
                why, "%s: %s %s %s fault %d: %g [%g, %g] of [%g, %g] %s, n %u: %s", wrong,
                eh_aspect_text((enum eh_aspect)f->aspect), eh_side_text((enum eh_side)f->side),
                eh_verdict_text((enum eh_verdict)f->verdict), (int)f->fault, f->value, f->low,
                f->high, f->limit_low, f->limit_high, f->unit, (unsigned)f->n, f->text);
            return false;
        }
    }
    return true;
}

bool property_document(const struct sample *sample, struct eh_text *why) {
    enum eh_status status = EH_OK;
    struct eh_judgement *j = sample_judge(sample, &status);
    if (j == NULL) {
        const bool refused = status == EH_EMPTY || status == EH_NO_FIT || status == EH_OUT_OF_RANGE;
        eh_text_add(why, refused ? "" : eh_status_text(status));
        return refused;
    }
    const bool sound = fates_are_sound(j, why) && matches_are_sound(j, why) &&
                       bounces_are_counted(j, why) && counts_add_up(j, why) &&
                       courses_are_sound(j, why) && findings_are_sound(j, why);
    eh_judgement_free(j);
    return sound;
}
