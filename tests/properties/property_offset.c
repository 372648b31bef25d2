#include <math.h>

#include "compare.h"
#include "property.h"

/* Tried on runs whose own and added offset come to no more than MOST_MS, and whose main strokes are
 * LEAST_NS apart at least. Beyond, the first hit of all may be taken for another stroke than the
 * first, and fast rows are followed one stroke out of step now and then: docs/properties.md gives
 * the shares. */
static const double offsets_ms[] = {-40.0, -15.0, 15.0, 40.0};
static const double most_ms = 45.0;
static const int64_t least_ns = 90 * EH_NS_PER_MS;

static void move_hits(struct sample *s, double by_ms) {
    for (size_t i = 0; i < s->take.count; i++) {
        s->take.hits[i].at_ns += (int64_t)(by_ms * 1e6);
    }
}

static bool same_judgement(const struct eh_judgement *a, const struct eh_judgement *b, double by_ms,
                           struct eh_text *why) {
    if (!compare_matches(a->matches, b->matches, a->plan.due_count, why) ||
        !compare_findings(a, b, 1e-6, why)) {
        return false;
    }
    if (!compare_near(a->offset_ms + by_ms, b->offset_ms, 1e-6) ||
        !compare_near(a->drift_percent, b->drift_percent, 1e-6)) {
        eh_text_printf(why, "offset %.6f ms became %.6f, drift %.6f %% became %.6f", a->offset_ms,
                       b->offset_ms, a->drift_percent, b->drift_percent);
        return false;
    }
    return true;
}

static bool is_slow(const struct eh_plan *plan) {
    for (size_t i = 0; i < plan->due_count; i++) {
        if (plan->due[i].spacing_ns < least_ns) {
            return false;
        }
    }
    return true;
}

static bool holds_at(const struct sample *sample, const struct eh_judgement *a, double by_ms,
                     struct eh_text *why) {
    struct sample moved;
    enum eh_status status = EH_OK;
    sample_copy(&moved, sample);
    move_hits(&moved, by_ms);
    struct eh_judgement *b = sample_judge(&moved, &status);
    const bool same = b != NULL && same_judgement(a, b, by_ms, why);
    if (!same) {
        eh_text_printf(why, "%s (with all hits %+.0f ms)", b == NULL ? eh_status_text(status) : "",
                       by_ms);
    }
    eh_judgement_free(b);
    sample_deinit(&moved);
    return same;
}

bool property_offset(const struct sample *sample, struct eh_text *why) {
    enum eh_status status = EH_OK;
    struct sample placed; /* where the exercise begins is said: looking for it is another matter */
    sample_copy(&placed, sample);
    placed.request.find_start = false;
    struct eh_judgement *a = sample_judge(&placed, &status);
    bool same = true;
    for (size_t i = 0; a != NULL && is_slow(&a->plan) && i < 4 && same; i++) {
        if (fabs(a->offset_ms + offsets_ms[i]) <= most_ms) {
            same = holds_at(&placed, a, offsets_ms[i], why);
        }
    }
    eh_judgement_free(a);
    sample_deinit(&placed);
    return same;
}
