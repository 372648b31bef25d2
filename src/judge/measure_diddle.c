/* Doubles: where the second stroke falls. */
#include "measure.h"

#include <math.h>

#include "verdict.h"

/* A hand that comes late as a whole moves the end of the other hand's spans; that is the hands'
 * timing and not the double's, so it is taken out once it is sure to be more than this. */
static const double sure_ms = 3.0;

static double hands_apart(const struct measures *m, const struct measure_twin *t) {
    const struct eh_estimate *e = &m->hand_time;
    bool sure = e->low > sure_ms || e->high < -sure_ms;
    if (!sure || m->row[t->next].hand == m->row[t->first].hand) {
        return 0.0;
    }
    return m->row[t->next].hand == EH_HAND_LEFT ? e->value : -e->value;
}

/* Where the second stroke lies in its span, 0.5 when written and played evenly; NAN when a stroke
 * of the three is missing. OUT_GAP: the written gap, ms. */
static double share_of(const struct measures *m, const struct measure_twin *t, double *out_gap) {
    if (t->next >= m->count || m->row[t->next].stretch != m->row[t->first].stretch) {
        return NAN;
    }
    const struct measure_stroke *a = &m->row[t->first];
    const struct measure_stroke *b = &m->row[t->second];
    const struct measure_stroke *c = &m->row[t->next];
    *out_gap = b->at_ms - a->at_ms;
    double written = *out_gap / (c->at_ms - a->at_ms);
    double gap = *out_gap + measure_came(b) - a->off_ms;
    double span = c->at_ms - a->at_ms + c->off_ms - a->off_ms - hands_apart(m, t);
    return span > 0.0 ? 0.5 * gap / span / written : NAN;
}

/* WHAT: the hand. The share of the double that ROW opens. */
static double read_share(const struct measures *m, size_t row, const void *what) {
    struct measure_twin t;
    double gap = 0.0;
    bool own = m->row[row].hand == *(const int *)what;
    return own && measure_twin_at(m, row, &t) ? share_of(m, &t, &gap) : NAN;
}

static void note_shares(struct measures *m, int hand, double centre, double sign) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        double off = read_share(m, i, &hand) - centre;
        if (isfinite(off)) {
            measure_bars_note(m, i, sign != 0.0 ? sign * off : fabs(off));
        }
    }
}

/* What is told besides the finding's own numbers. */
struct spacing {
    struct eh_estimate e, spread;
    double gap, half, spread_limit;
    double whole; /* of the run, where a few bars are told of; else NAN */
};

static void say_spacing(struct eh_finding *f, const struct verdict_call *call,
                        const struct spacing *p) {
    struct verdict_words w = verdict_say(f);
    say_side(&w, "");
    if (f->direction == EH_DIRECTION_SCATTERED) {
        say(&w, "second strokes scatter by ");
        say_number(&w, p->spread.value, 2);
        say(&w, " of the span from one double to the next, where ");
        say_number(&w, p->spread_limit, 2);
        say(&w, " would be fine");
        say_basis(&w, "double", "doubles");
        return;
    }
    if (!isfinite(f->value)) {
        say(&w, "second strokes: no double with all its strokes was heard");
        return;
    }
    double late = (f->value - 0.5) * 2.0 * p->gap;
    if (f->fault == EH_FAULT_YES) {
        say(&w, "second strokes come ");
        say_number(&w, fabs(late), 0);
        say(&w, late > 0.0 ? " ms late: " : " ms early: ");
    } else {
        say(&w, "second strokes lie at ");
    }
    say_number(&w, f->value, 2);
    say(&w, f->fault == EH_FAULT_NO ? " of the span, even (" : " of the span where ");
    say_range(&w, f->limit_low, f->limit_high, 2, "");
    say(&w, f->fault == EH_FAULT_NO ? ")" : " is even");
    say_basis(&w, "double", "doubles");
    say_whole(&w, p->whole, 2, "");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 2, "of the span");
    }
}

/* Shares of HAND's doubles to SHARES, their written gaps to GAPS. */
static size_t collect_shares(struct measures *m, int hand, double *shares, double *gaps) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        struct measure_twin t;
        double gap = 0.0;
        if (m->row[i].hand == hand && measure_twin_at(m, i, &t)) {
            double share = share_of(m, &t, &gap);
            if (isfinite(share)) {
                shares[n] = share;
                gaps[n++] = gap;
            }
        }
    }
    return n;
}

static void measure_hand(struct measures *m, int hand, struct spacing *p) {
    size_t other = collect_shares(m, !hand, m->c, m->b);
    size_t n = collect_shares(m, hand, m->a, m->b);
    p->gap = n > 0 ? eh_median(m->b, n) : NAN;
    p->spread = eh_scale(m->a, n, MEASURE_BOUND, MEASURE_CONFIDENCE);
    p->spread_limit = m->style->diddle_scatter_share;
    double clock = n > 0 ? m->step_ms / (2.0 * p->gap) : 0.0;
    p->e = measure_tailed(m->a, n, m->c, other, clock, m->d);
    p->half = fmax(m->style->diddle_spacing_share, m->style->diddle_spacing_ms / (2.0 * p->gap));
    p->half = fmax(p->half, limen_ms(p->gap) / (2.0 * p->gap));
    p->whole = NAN;
}

/* Seconds that scatter too far have a centre that lies anywhere: where both are surely beyond their
 * limits, that is told which is further beyond, in limits. */
static bool scatters(const struct measures *m, const struct spacing *p) {
    const double sure = p->spread.low / p->spread_limit;
    const double off = fmax(p->e.low - 0.5, 0.5 - p->e.high) / p->half;
    return (double)p->spread.n >= m->style->least_n && sure > 1.0 && !(off > sure);
}

static void tell_scatter(struct measures *m, struct eh_finding *f, int hand,
                         const struct spacing *p) {
    const struct eh_estimate *spread = &p->spread;
    verdict_fault(f, EH_VERDICT_UNEVEN, EH_DIRECTION_SCATTERED);
    verdict_numbers(f, spread, NAN, p->spread_limit, "share");
    note_shares(m, hand, p->e.value, 0.0);
    measure_bars_give(m, p->spread_limit, f);
}

/* Even as a whole, but not in some bars. */
static void judge_bars(struct measures *m, struct eh_finding *f, int hand, struct spacing *p) {
    struct measure_limits limits = {0.5 - p->half, 0.5 + p->half, p->spread.value};
    struct measure_window w;
    if (measure_bars_apart(m, read_share, &hand, &limits, &w)) {
        verdict_fault(f, EH_VERDICT_UNEVEN, w.above ? EH_DIRECTION_LATE : EH_DIRECTION_EARLY);
        verdict_numbers(f, &w.e, limits.low, limits.high, "share");
        measure_window_give(&w, f);
        p->whole = p->e.value;
    }
}

static void spacing_of(struct measures *m, int hand) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_DIDDLE_SPACING, (enum eh_side)hand);
    struct spacing p;
    measure_hand(m, hand, &p);
    struct verdict_call call = verdict_place(&p.e, 0.5 - p.half, 0.5 + p.half, m->style->least_n);
    if (m->clock_ms > p.half * 2.0 * p.gap && call.reason != REASON_FEW) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_COARSE};
    }
    bool any = p.e.n > 0;
    verdict_numbers(f, &p.e, any ? 0.5 - p.half : NAN, any ? 0.5 + p.half : NAN, "share");
    if (call.reason != REASON_COARSE && scatters(m, &p)) {
        tell_scatter(m, f, hand, &p);
    } else if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_EVEN);
    } else if (call.place != PLACE_UNKNOWN) {
        bool late = call.place == PLACE_ABOVE;
        verdict_fault(f, EH_VERDICT_UNEVEN, late ? EH_DIRECTION_LATE : EH_DIRECTION_EARLY);
        note_shares(m, hand, 0.5, late ? 1.0 : -1.0);
        measure_bars_give(m, p.half, f);
    }
    if (f->fault == EH_FAULT_NO) {
        judge_bars(m, f, hand, &p);
    }
    say_spacing(f, &call, &p);
}

void measure_diddle_spacing(struct measures *m) {
    for (int hand = 0; hand < 2; hand++) {
        if (measure_is_about_doubles(m, hand, false)) {
            spacing_of(m, hand);
        }
    }
}
