/* One bar while the run goes on. */
#include <math.h>

#include "evenhand/judgement.h"
#include "evenhand/stats.h"

/* Strokes of a bar that are looked at; a bar with more is judged by its beginning. */
enum { BAR_STROKES = 512 };

static const struct eh_hit *hit_of(const struct eh_measure_input *in, size_t due) {
    int32_t hit = in->matches[due].hit;
    return hit == EH_NO_HIT ? NULL : &in->hits[hit];
}

static double offset_ms(const struct eh_measure_input *in, size_t due, const struct eh_hit *hit) {
    int64_t due_ns = in->plan->due[due].at_ns + in->matches[due].shift_ns;
    return (double)(hit->at_ns - due_ns) / 1e6;
}

static bool is_main(const struct eh_measure_input *in, size_t due) {
    return eh_plan_stroke(in->plan, due)->kind != EH_KIND_GRACE;
}

static size_t next_main(const struct eh_measure_input *in, size_t due) {
    do {
        due++;
    } while (due < in->plan->due_count && !is_main(in, due));
    return due;
}

/* The share of one double, 0.5 when even; NAN. */
static double share_of(const struct eh_measure_input *in, size_t first) {
    size_t second = next_main(in, first);
    size_t next = second < in->plan->due_count ? next_main(in, second) : second;
    if (next >= in->plan->due_count || eh_plan_stroke(in->plan, second)->kind != EH_KIND_SECOND) {
        return NAN;
    }
    const struct eh_hit *a = hit_of(in, first);
    const struct eh_hit *b = hit_of(in, second);
    const struct eh_hit *c = hit_of(in, next);
    if (a == NULL || b == NULL || c == NULL || c->at_ns <= a->at_ns) {
        return NAN;
    }
    const struct eh_due *due = in->plan->due;
    double written = (double)(due[second].at_ns - due[first].at_ns) /
                     (double)(due[next].at_ns - due[first].at_ns);
    double played = (double)(b->at_ns - a->at_ns) / (double)(c->at_ns - a->at_ns);
    return written > 0.0 ? 0.5 * played / written : NAN;
}

struct bar_view {
    const struct eh_measure_input *in;
    size_t from, to;
};

static double median_offset(const struct bar_view *v) {
    double x[BAR_STROKES];
    size_t n = 0;
    for (size_t i = v->from; i < v->to; i++) {
        const struct eh_hit *hit = hit_of(v->in, i);
        if (hit != NULL && is_main(v->in, i)) {
            x[n++] = offset_ms(v->in, i, hit);
        }
    }
    return eh_median(x, n);
}

static double median_share(const struct bar_view *v, int hand) {
    double x[BAR_STROKES];
    size_t n = 0;
    for (size_t i = v->from; i < v->to; i++) {
        const struct eh_stroke *s = eh_plan_stroke(v->in->plan, i);
        if (s->kind == EH_KIND_FIRST && s->hand == hand) {
            double share = share_of(v->in, i);
            if (isfinite(share)) {
                x[n++] = share;
            }
        }
    }
    return eh_median(x, n);
}

static double median_level(const struct bar_view *v, bool accents) {
    double x[BAR_STROKES];
    size_t n = 0;
    for (size_t i = v->from; i < v->to; i++) {
        const struct eh_stroke *s = eh_plan_stroke(v->in->plan, i);
        const struct eh_hit *hit = hit_of(v->in, i);
        bool plain = s->kind == EH_KIND_SINGLE || s->kind == EH_KIND_FIRST;
        if (hit != NULL && plain && (s->accent > 0) == accents) {
            x[n++] = eh_pad_level_db(v->in->pad, eh_hit_velocity(hit));
        }
    }
    return eh_median(x, n);
}

static uint32_t extras_in(const struct eh_measure_input *in, const struct eh_plan_bar *bar) {
    uint32_t n = 0;
    size_t low = 0;
    size_t high = in->hit_count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (in->hits[middle].at_ns < bar->at_ns) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    for (; low < in->hit_count && in->hits[low].at_ns < bar->end_ns; low++) {
        n += in->fates[low].kind == EH_FATE_EXTRA;
    }
    return n;
}

void eh_measure_bar(const struct eh_measure_input *input, size_t bar,
                    struct eh_bar_summary *out_summary) {
    const struct eh_plan_bar *b = &input->plan->bars[bar];
    size_t to = b->first_due + b->due_count;
    size_t seen = b->due_count < BAR_STROKES ? b->due_count : BAR_STROKES;
    struct bar_view view = {input, b->first_due, b->first_due + seen};
    *out_summary = (struct eh_bar_summary){.written = b->written,
                                           .pass = b->pass,
                                           .strokes = b->due_count,
                                           .extra = extras_in(input, b)};
    for (size_t i = b->first_due; i < to; i++) {
        out_summary->matched += input->matches[i].hit != EH_NO_HIT;
    }
    out_summary->missed = out_summary->strokes - out_summary->matched;
    out_summary->offset_ms = median_offset(&view);
    out_summary->spacing_left = median_share(&view, EH_HAND_LEFT);
    out_summary->spacing_right = median_share(&view, EH_HAND_RIGHT);
    out_summary->lift_db = median_level(&view, true) - median_level(&view, false);
}
