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

static void note_shares(struct measures *m, int hand, double centre, double sign) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        struct measure_twin t;
        double gap = 0.0;
        if (m->row[i].hand == hand && measure_twin_at(m, i, &t)) {
            double share = share_of(m, &t, &gap);
            if (isfinite(share)) {
                double off = share - centre;
                measure_bars_note(m, i, sign != 0.0 ? sign * off : fabs(off));
            }
        }
    }
}

static void say_spacing(struct eh_finding *f, const struct verdict_call *call, double gap,
                        const struct eh_estimate *spread, double spread_limit) {
    struct verdict_words w = verdict_say(f);
    say_side(&w, "");
    if (f->direction == EH_DIRECTION_SCATTERED) {
        say(&w, "second strokes scatter by ");
        say_number(&w, spread->value, 2);
        say(&w, " of the span from one double to the next, where ");
        say_number(&w, spread_limit, 2);
        say(&w, " would be fine");
        say_basis(&w, "double", "doubles");
        return;
    }
    if (!isfinite(f->value)) {
        say(&w, "second strokes: no double with all its strokes was heard");
        return;
    }
    double late = (f->value - 0.5) * 2.0 * gap;
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
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 2, "of the span");
    }
}

static void judge_scatter(struct measures *m, struct eh_finding *f, int hand,
                          const struct eh_estimate *spread, double centre) {
    if ((double)spread->n < m->style->least_n || !(spread->low > m->style->diddle_scatter_share)) {
        return;
    }
    verdict_fault(f, EH_VERDICT_UNEVEN, EH_DIRECTION_SCATTERED);
    verdict_numbers(f, spread, NAN, m->style->diddle_scatter_share, "share");
    note_shares(m, hand, centre, 0.0);
    measure_bars_give(m, m->style->diddle_scatter_share, f);
}

static void spacing_of(struct measures *m, int hand) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_DIDDLE_SPACING, (enum eh_side)hand);
    size_t other = collect_shares(m, !hand, m->c, m->b);
    size_t n = collect_shares(m, hand, m->a, m->b);
    double gap = n > 0 ? eh_median(m->b, n) : NAN;
    struct eh_estimate spread = eh_spread(m->a, n, MEASURE_CONFIDENCE);
    double clock = n > 0 ? m->step_ms / (2.0 * gap) : 0.0;
    struct eh_estimate e = measure_centre(m->a, n, m->c, other, clock, m->d);
    double half = fmax(m->style->diddle_spacing_share, m->style->diddle_spacing_ms / (2.0 * gap));
    half = fmax(half, limen_ms(gap) / (2.0 * gap));
    struct verdict_call call = verdict_place(&e, 0.5 - half, 0.5 + half, m->style->least_n);
    if (m->clock_ms > half * 2.0 * gap && call.reason != REASON_FEW) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_COARSE};
    }
    verdict_numbers(f, &e, n > 0 ? 0.5 - half : NAN, n > 0 ? 0.5 + half : NAN, "share");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_EVEN);
    } else if (call.place != PLACE_UNKNOWN) {
        bool late = call.place == PLACE_ABOVE;
        verdict_fault(f, EH_VERDICT_UNEVEN, late ? EH_DIRECTION_LATE : EH_DIRECTION_EARLY);
        note_shares(m, hand, 0.5, late ? 1.0 : -1.0);
        measure_bars_give(m, half, f);
    }
    bool shifted = f->fault == EH_FAULT_YES;
    if (!shifted && call.reason != REASON_COARSE) {
        judge_scatter(m, f, hand, &spread, e.value);
    }
    say_spacing(f, &call, gap, &spread, m->style->diddle_scatter_share);
}

void measure_diddle_spacing(struct measures *m) {
    for (int hand = 0; hand < 2; hand++) {
        if (m->census.doubles[hand] > 0) {
            spacing_of(m, hand);
        }
    }
}
