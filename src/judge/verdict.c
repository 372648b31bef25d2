#include "verdict.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Past an only limit by this factor an interval says nothing any more. */
static const double far = 2.0;

struct verdict_call verdict_place(const struct eh_estimate *e, double low, double high,
                                  double least_n) {
    if (!isfinite(e->value) || (double)e->n < least_n || !isfinite(e->low)) {
        return (struct verdict_call){PLACE_UNKNOWN, REASON_FEW};
    }
    if (e->low > high) {
        return (struct verdict_call){PLACE_ABOVE, REASON_NONE};
    }
    if (e->high < low) {
        return (struct verdict_call){PLACE_BELOW, REASON_NONE};
    }
    if (e->value > high || e->value < low) {
        return (struct verdict_call){PLACE_UNKNOWN, REASON_STRADDLES};
    }
    bool wide = isnan(low) ? e->high > far * high : e->low < low && e->high > high;
    return wide ? (struct verdict_call){PLACE_UNKNOWN, REASON_WIDE}
                : (struct verdict_call){PLACE_INSIDE, REASON_NONE};
}

struct eh_finding *verdict_add(struct eh_judgement *judgement, enum eh_aspect aspect,
                               enum eh_side side) {
    size_t at = judgement->finding_count;
    if (at < EH_FINDINGS_MAX) {
        judgement->finding_count++;
    } else {
        at = EH_FINDINGS_MAX - 1;
    }
    struct eh_finding *f = &judgement->findings[at];
    *f = (struct eh_finding){.aspect = (uint8_t)aspect,
                             .side = (uint8_t)side,
                             .verdict = EH_VERDICT_UNCLEAR,
                             .fault = EH_FAULT_UNCLEAR,
                             .value = NAN,
                             .low = NAN,
                             .high = NAN,
                             .limit_low = NAN,
                             .limit_high = NAN};
    return f;
}

void verdict_numbers(struct eh_finding *f, const struct eh_estimate *e, double low, double high,
                     const char *unit) {
    f->value = e->value;
    f->low = e->low;
    f->high = e->high;
    f->limit_low = low;
    f->limit_high = high;
    f->n = (uint32_t)e->n;
    (void)snprintf(f->unit, sizeof f->unit, "%s", unit);
}

void verdict_fine(struct eh_finding *f, enum eh_verdict verdict) {
    f->verdict = (uint8_t)verdict;
    f->direction = EH_DIRECTION_NONE;
    f->fault = EH_FAULT_NO;
}

void verdict_fault(struct eh_finding *f, enum eh_verdict verdict, enum eh_direction direction) {
    f->verdict = (uint8_t)verdict;
    f->direction = (uint8_t)direction;
    f->fault = EH_FAULT_YES;
}
