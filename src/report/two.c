#include "two.h"

#include <math.h>
#include <string.h>

static bool same_value(double a, double b) {
    return a == b || (isnan(a) && isnan(b));
}

static bool same_number(const struct eh_finding *a, const struct eh_finding *b) {
    return same_value(a->value, b->value) && same_value(a->low, b->low) &&
           same_value(a->high, b->high) && a->n == b->n && strcmp(a->unit, b->unit) == 0;
}

static enum report_likeness likeness(const struct eh_finding *a, const struct eh_finding *b) {
    if (a == NULL || b == NULL) {
        const struct eh_finding *alone = a != NULL ? a : b;
        return alone->fault == EH_FAULT_YES ? REPORT_DIFFERS : REPORT_ONE_ONLY;
    }
    if (a->verdict != b->verdict || a->direction != b->direction || a->fault != b->fault) {
        return REPORT_DIFFERS;
    }
    const bool same = same_number(a, b) && same_value(a->limit_low, b->limit_low) &&
                      same_value(a->limit_high, b->limit_high);
    return same ? REPORT_SAME : REPORT_SAME_VERDICT;
}

static const struct eh_finding *find(const struct eh_judgement *in, const struct eh_finding *like) {
    for (size_t i = 0; i < in->finding_count; i++) {
        const struct eh_finding *f = &in->findings[i];
        if (f->aspect == like->aspect && f->side == like->side) {
            return f;
        }
    }
    return NULL;
}

static struct report_two make(const struct eh_finding *a, const struct eh_finding *b) {
    /* A number of one style alone stands with its question too. */
    return (struct report_two){.of = {a, b},
                               .like = likeness(a, b),
                               .same_number = a == NULL || b == NULL || same_number(a, b)};
}

/* Adds the pairs of accents (ACCENTS) or of all else. */
static size_t add_pairs(const struct eh_judgement *first, const struct eh_judgement *second,
                        bool accents, struct report_two *out) {
    size_t count = 0;
    for (size_t i = 0; i < first->finding_count; i++) {
        const struct eh_finding *f = &first->findings[i];
        if ((f->aspect == EH_ASPECT_ACCENT) == accents) {
            out[count++] = make(f, find(second, f));
        }
    }
    for (size_t i = 0; i < second->finding_count; i++) {
        const struct eh_finding *f = &second->findings[i];
        if ((f->aspect == EH_ASPECT_ACCENT) == accents && find(first, f) == NULL) {
            out[count++] = make(NULL, f);
        }
    }
    return count;
}

size_t report_pair(const struct eh_judgement *first, const struct eh_judgement *second,
                   struct report_two out[REPORT_TWOS_MAX]) {
    const size_t accents = add_pairs(first, second, true, out);
    return accents + add_pairs(first, second, false, out + accents);
}
