#include "compare.h"

#include <math.h>
#include <string.h>

static int line_length(const char *text) {
    return (int)strcspn(text, "\n");
}

bool compare_bytes(const char *a, const char *b, struct eh_text *why) {
    if (strcmp(a, b) == 0) {
        return true;
    }
    size_t at = 0;
    size_t line = 0;
    for (; a[at] == b[at]; at++) {
        line = a[at] == '\n' ? at + 1 : line;
    }
    eh_text_printf(why, "the documents differ:\n  %.*s\n  %.*s", line_length(a + line), a + line,
                   line_length(b + line), b + line);
    return false;
}

bool compare_near(double a, double b, double near) {
    if (isnan(a) || isnan(b)) {
        return isnan(a) && isnan(b);
    }
    return a == b || fabs(a - b) <= near * fmax(1.0, fabs(a));
}

bool compare_matches(const struct eh_match *a, const struct eh_match *b, size_t due_count,
                     struct eh_text *why) {
    for (size_t i = 0; i < due_count; i++) {
        if (a[i].hit != b[i].hit || a[i].bounces != b[i].bounces ||
            a[i].shift_ns != b[i].shift_ns) {
            eh_text_printf(why,
                           "stroke %zu: hit %d (%d bounces, moved %lld ns), then hit %d (%d, "
                           "%lld ns)",
                           i, (int)a[i].hit, (int)a[i].bounces, (long long)a[i].shift_ns,
                           (int)b[i].hit, (int)b[i].bounces, (long long)b[i].shift_ns);
            return false;
        }
    }
    return true;
}

static bool names_a_stroke(const struct eh_fate *fate) {
    return fate->kind == EH_FATE_STROKE || fate->kind == EH_FATE_BOUNCE;
}

bool compare_fates(const struct eh_fate *a, const struct eh_fate *b, size_t hit_count,
                   struct eh_text *why) {
    for (size_t i = 0; i < hit_count; i++) {
        if (a[i].kind != b[i].kind || (names_a_stroke(&a[i]) && a[i].due != b[i].due)) {
            eh_text_printf(why, "hit %zu: fate %d of stroke %u, then %d of stroke %u", i,
                           (int)a[i].kind, (unsigned)a[i].due, (int)b[i].kind, (unsigned)b[i].due);
            return false;
        }
    }
    return true;
}

static bool same_answer(const struct eh_finding *a, const struct eh_finding *b) {
    return a->n == b->n && a->bar_count == b->bar_count &&
           memcmp(a->bars, b->bars, a->bar_count * sizeof a->bars[0]) == 0 &&
           strcmp(a->unit, b->unit) == 0;
}

static bool same_numbers(const struct eh_finding *a, const struct eh_finding *b, double near) {
    return compare_near(a->value, b->value, near) && compare_near(a->low, b->low, near) &&
           compare_near(a->high, b->high, near) && compare_near(a->limit_low, b->limit_low, near) &&
           compare_near(a->limit_high, b->limit_high, near);
}

static void show(const struct eh_finding *f, struct eh_text *out) {
    eh_text_printf(out, "\n  %s %s %s: %.12g [%.12g, %.12g] of [%.12g, %.12g], n %u, %u bars, %s",
                   eh_aspect_text((enum eh_aspect)f->aspect), eh_side_text((enum eh_side)f->side),
                   eh_verdict_text((enum eh_verdict)f->verdict), f->value, f->low, f->high,
                   f->limit_low, f->limit_high, (unsigned)f->n, (unsigned)f->bar_count, f->text);
}

static bool same_verdict(const struct eh_finding *a, const struct eh_finding *b) {
    return a->aspect == b->aspect && a->side == b->side && a->verdict == b->verdict &&
           a->direction == b->direction && a->fault == b->fault;
}

/* A sentence about a difference of nothing names either hand. */
static bool same_words(const struct eh_finding *a, const struct eh_finding *b) {
    return a->value == 0.0 || strcmp(a->text, b->text) == 0;
}

static bool compare_each(const struct eh_judgement *a, const struct eh_judgement *b,
                         bool verdicts_only, double near, struct eh_text *why) {
    if (a->finding_count != b->finding_count) {
        eh_text_printf(why, "%zu findings, then %zu", a->finding_count, b->finding_count);
        return false;
    }
    for (size_t i = 0; i < a->finding_count; i++) {
        const struct eh_finding *x = &a->findings[i];
        const struct eh_finding *y = &b->findings[i];
        const bool same =
            same_verdict(x, y) &&
            (verdicts_only || (same_answer(x, y) && same_numbers(x, y, near) && same_words(x, y)));
        if (!same) {
            eh_text_add(why, "a finding differs:");
            show(x, why);
            show(y, why);
            return false;
        }
    }
    return true;
}

bool compare_findings(const struct eh_judgement *a, const struct eh_judgement *b, double near,
                      struct eh_text *why) {
    return compare_each(a, b, false, near, why);
}

bool compare_verdicts(const struct eh_judgement *a, const struct eh_judgement *b,
                      struct eh_text *why) {
    return compare_each(a, b, true, 0.0, why);
}
