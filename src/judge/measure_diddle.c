/* Doubles: where the second stroke falls, and how strong it is. */
#include "measure.h"

#include <math.h>

#include "verdict.h"

/* A double: rows of its strokes and of the main stroke after it (COUNT: none). */
struct twin {
    size_t first, second, next;
};

/* The double whose first stroke is ROW; false when ROW opens none. */
static bool twin_at(const struct measures *m, size_t row, struct twin *out) {
    const struct measure_stroke *first = &m->row[row];
    if (first->kind != EH_KIND_FIRST) {
        return false;
    }
    size_t second = measure_next_main(m, row);
    if (second >= m->count || m->row[second].kind != EH_KIND_SECOND ||
        m->row[second].hand != first->hand || m->row[second].stretch != first->stretch) {
        return false;
    }
    *out = (struct twin){row, second, measure_next_main(m, second)};
    return true;
}

/* ---- Spacing ---- */

/* A hand that comes late as a whole moves the end of the other hand's spans; that is the hands'
 * timing and not the double's, so it is taken out once it is sure to be more than this. */
static const double sure_ms = 3.0;

static double hands_apart(const struct measures *m, const struct twin *t) {
    const struct eh_estimate *e = &m->hand_time;
    bool sure = e->low > sure_ms || e->high < -sure_ms;
    if (!sure || m->row[t->next].hand == m->row[t->first].hand) {
        return 0.0;
    }
    return m->row[t->next].hand == EH_HAND_LEFT ? e->value : -e->value;
}

/* Where the second stroke lies in its span, 0.5 when written and played evenly; NAN when a stroke
 * of the three is missing. OUT_GAP: the written gap, ms. */
static double share_of(const struct measures *m, const struct twin *t, double *out_gap) {
    if (t->next >= m->count || m->row[t->next].stretch != m->row[t->first].stretch) {
        return NAN;
    }
    const struct measure_stroke *a = &m->row[t->first];
    const struct measure_stroke *b = &m->row[t->second];
    const struct measure_stroke *c = &m->row[t->next];
    *out_gap = b->at_ms - a->at_ms;
    double written = *out_gap / (c->at_ms - a->at_ms);
    double gap = *out_gap + b->off_ms - a->off_ms;
    double span = c->at_ms - a->at_ms + c->off_ms - a->off_ms - hands_apart(m, t);
    return span > 0.0 ? 0.5 * gap / span / written : NAN;
}

/* Shares of HAND's doubles to A, their written gaps to B. */
static size_t shares(struct measures *m, int hand) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        struct twin t;
        double gap = 0.0;
        if (m->row[i].hand == hand && twin_at(m, i, &t)) {
            double share = share_of(m, &t, &gap);
            if (isfinite(share)) {
                m->a[n] = share;
                m->b[n++] = gap;
            }
        }
    }
    return n;
}

static void note_shares(struct measures *m, int hand, double centre, double sign) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        struct twin t;
        double gap = 0.0;
        if (m->row[i].hand == hand && twin_at(m, i, &t)) {
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
    size_t n = shares(m, hand);
    double gap = n > 0 ? eh_median(m->b, n) : NAN;
    struct eh_estimate spread = eh_spread(m->a, n, MEASURE_CONFIDENCE);
    struct eh_estimate e = measure_centre(m->a, n, n > 0 ? m->step_ms / (2.0 * gap) : 0.0);
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

/* ---- Level ---- */

/* A pad masks what comes soon after: measured on professional playing on mesh heads (Groove MIDI
 * Dataset 1.0.0), a second hit 12 to 60 ms after the first is reported only if it is at least
 * 1.8 - 0.21 dB/ms * gap louder. */
static double mask_db(double gap_ms) {
    return 1.8 - 0.21 * gap_ms;
}

static const double mask_reach_ms = 60.0;

static bool graced(const struct measures *m, const struct twin *t) {
    return m->row[t->first].graces > 0 || m->row[t->second].graces > 0;
}

/* Whether every grace note of a main stroke was heard apart from it. */
static bool apart(const struct measures *m, size_t main) {
    bool heard = true;
    for (size_t g = 1; g <= m->row[main].graces && g <= main; g++) {
        heard = heard && m->row[main - g].matched;
    }
    return heard;
}

/* Both strokes written alike. A grace note can swallow its main note's level, so doubles with grace
 * notes serve only where the hand has no others. */
static bool level_pair(const struct measures *m, size_t row, struct twin *t) {
    if (!twin_at(m, row, t) || (graced(m, t) && m->census.bare_doubles[m->row[row].hand] > 0)) {
        return false;
    }
    const struct measure_stroke *a = &m->row[t->first];
    const struct measure_stroke *b = &m->row[t->second];
    return a->accent == b->accent && a->dynamic == b->dynamic && a->matched && apart(m, t->first) &&
           apart(m, t->second);
}

struct level_count {
    size_t heard, topped, hidden;
};

/* Differences second less first to A: those heard below the top. Seconds that were missed where the
 * pad could have hidden them are counted, and the level that they must have stayed under is put
 * behind the others. */
static struct level_count differences(struct measures *m, int hand) {
    struct level_count c = {0, 0, 0};
    for (size_t i = 0; i < m->count; i++) {
        struct twin t;
        if (m->row[i].hand != hand || !level_pair(m, i, &t)) {
            continue;
        }
        const struct measure_stroke *a = &m->row[t.first];
        const struct measure_stroke *b = &m->row[t.second];
        if (b->matched && (a->saturated || b->saturated)) {
            c.topped++;
        } else if (b->matched) {
            m->a[c.heard++] = b->level - a->level;
        } else if (b->at_ms - a->at_ms < mask_reach_ms) {
            m->b[c.hidden++] = fmin(mask_db(b->at_ms - a->at_ms), -LIMEN_DB);
        }
    }
    return c;
}

/* Whether the seconds that were heard come so near to the pad's mask that others may lie under. */
static bool near_mask(struct measures *m, const struct level_count *c) {
    if (c->hidden == 0 || c->heard == 0) {
        return c->hidden > 0;
    }
    for (size_t i = 0; i < c->heard; i++) {
        m->c[i] = m->a[i];
    }
    double spread = fmax(eh_mad(m->c, c->heard), 1.0);
    for (size_t i = 0; i < c->heard; i++) {
        m->c[i] = m->a[i];
    }
    double centre = eh_median(m->c, c->heard);
    double mask = eh_mean(m->b, c->hidden);
    return centre - 2.5 * spread < mask;
}

static void note_levels(struct measures *m, int hand, double centre, double sign) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        struct twin t;
        if (m->row[i].hand == hand && level_pair(m, i, &t) && m->row[t.second].matched) {
            double off = m->row[t.second].level - m->row[t.first].level - centre;
            measure_bars_note(m, i, sign != 0.0 ? sign * off : fabs(off));
        }
    }
}

static void say_level(struct eh_finding *f, const struct verdict_call *call, uint32_t hidden) {
    struct verdict_words w = verdict_say(f);
    say_side(&w, "");
    if (f->direction == EH_DIRECTION_SCATTERED) {
        say(&w, "second strokes vary by ");
        say_number(&w, f->value, 1);
        say(&w, " dB against their first ones, where ");
        say_number(&w, f->limit_high, 1);
        say(&w, " would be fine");
        say_basis(&w, "double", "doubles");
        return;
    }
    if (!isfinite(f->value)) {
        say(&w, "second strokes: no double with both its strokes was heard below the top of the "
                "pad's range");
        return;
    }
    say(&w, "second strokes are ");
    say_number(&w, fabs(f->value), 1);
    say(&w, f->value < 0.0 ? " dB weaker than the first" : " dB stronger than the first");
    say(&w, f->fault == EH_FAULT_NO ? ", even within " : ", where within ");
    say_number(&w, f->limit_high, 1);
    say(&w, f->fault == EH_FAULT_NO ? "" : " is even");
    say_basis(&w, "double", "doubles");
    if (hidden > 0) {
        say(&w, "; ");
        say_count(&w, hidden, "was", "were");
        say(&w, " not heard at all and may be softer than the pad reports");
    }
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "dB");
    }
}

static struct verdict_call call_level(struct measures *m, const struct level_count *c,
                                      const struct eh_estimate *e, double limit) {
    struct verdict_call call = verdict_place(e, -limit, limit, m->style->least_n);
    if (c->topped > c->heard + c->hidden) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_SATURATED};
    } else if (call.reason == REASON_FEW && c->hidden > 0) {
        call.reason = REASON_HIDDEN;
    }
    return call;
}

static void level_of(struct measures *m, int hand) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_DIDDLE_LEVEL, (enum eh_side)hand);
    struct level_count c = differences(m, hand);
    uint32_t hidden = near_mask(m, &c) ? (uint32_t)c.hidden : 0;
    struct eh_estimate spread = {NAN, NAN, NAN, 0};
    for (size_t i = 0; i < c.heard; i++) {
        m->c[i] = m->a[i];
    }
    spread = eh_spread(m->c, c.heard, MEASURE_CONFIDENCE);
    for (uint32_t i = 0; i < hidden; i++) {
        m->a[c.heard + i] = m->b[i];
    }
    m->masked[hand] = hidden;
    struct eh_estimate e = measure_centre(m->a, c.heard + hidden, 0.0);
    double limit = fmax(m->style->diddle_level_db, LIMEN_DB);
    struct verdict_call call = call_level(m, &c, &e, limit);
    verdict_numbers(f, &e, -limit, limit, "dB");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_EVEN);
    } else if (call.place != PLACE_UNKNOWN) {
        bool weak = call.place == PLACE_BELOW;
        verdict_fault(f, EH_VERDICT_UNEVEN, weak ? EH_DIRECTION_WEAK : EH_DIRECTION_STRONG);
        note_levels(m, hand, 0.0, weak ? -1.0 : 1.0);
        measure_bars_give(m, limit, f);
    }
    double scatter = fmax(m->style->diddle_level_scatter_db, LIMEN_DB);
    if (f->fault != EH_FAULT_YES && call.reason != REASON_SATURATED && hidden == 0 &&
        (double)spread.n >= m->style->least_n && spread.low > scatter) {
        verdict_fault(f, EH_VERDICT_UNEVEN, EH_DIRECTION_SCATTERED);
        verdict_numbers(f, &spread, NAN, scatter, "dB");
        note_levels(m, hand, e.value, 0.0);
        measure_bars_give(m, scatter, f);
    }
    say_level(f, &call, hidden);
}

static void count_bare(struct measures *m) {
    for (size_t i = 0; i < m->count; i++) {
        struct twin t;
        if (twin_at(m, i, &t)) {
            m->census.bare_doubles[m->row[i].hand] += !graced(m, &t);
        }
    }
}

void measure_diddle_level(struct measures *m) {
    count_bare(m);
    for (int hand = 0; hand < 2; hand++) {
        if (m->census.doubles[hand] > 0) {
            level_of(m, hand);
        }
    }
}
