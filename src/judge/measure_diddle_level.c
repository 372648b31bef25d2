/* Doubles: how strong the second stroke is. */
#include <math.h>

#include "measure.h"
#include "verdict.h"

static bool graced(const struct measures *m, const struct measure_twin *t) {
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

/* Whether both strokes are written with one accent and one dynamic. */
static bool alike(const struct measures *m, const struct measure_twin *t) {
    const struct measure_stroke *a = &m->row[t->first];
    const struct measure_stroke *b = &m->row[t->second];
    return a->accent == b->accent && a->dynamic == b->dynamic;
}

/* A grace note can swallow its main note's level, so doubles with grace notes serve only where the
 * hand has no others. */
static bool level_pair(const struct measures *m, size_t row, struct measure_twin *t) {
    if (!measure_twin_at(m, row, t) || !alike(m, t) ||
        (graced(m, t) && m->census.bare_doubles[m->row[row].hand] > 0)) {
        return false;
    }
    return m->row[t->first].matched && apart(m, t->first) && apart(m, t->second);
}

/* Where a hand's differences stand: HEARD of them below the pad's top, then the bounds that those
 * which were not heard must have stayed under. */
struct levels {
    double *heard, *hidden;
    size_t heard_count, hidden_count, topped;
};

static bool came(const struct measure_stroke *r) {
    return isfinite(measure_came(r));
}

/* Differences second less first. Of seconds that are missing where the pad could have hidden them
 * the level is taken that they must have stayed under. */
static void differences(struct measures *m, int hand, struct levels *l) {
    l->heard_count = 0;
    l->hidden_count = 0;
    l->topped = 0;
    for (size_t i = 0; i < m->count; i++) {
        struct measure_twin t;
        if (m->row[i].hand != hand || !level_pair(m, i, &t)) {
            continue;
        }
        const struct measure_stroke *a = &m->row[t.first];
        const struct measure_stroke *b = &m->row[t.second];
        double bound = measure_pad_hides(m, a->level, b->at_ms - a->at_ms) - a->level;
        if (came(b) && (a->saturated || b->saturated)) {
            l->topped++;
        } else if (came(b)) {
            l->heard[l->heard_count++] = b->level - a->level;
        } else if (isfinite(bound)) {
            l->hidden[l->hidden_count++] = fmin(bound, -LIMEN_DB);
        }
    }
}

/* Whether the seconds that were heard come so near to what the pad hides that others may lie under
 * it. */
static bool near_mask(const struct levels *l, double *room) {
    if (l->hidden_count == 0 || l->heard_count == 0) {
        return l->hidden_count > 0;
    }
    for (size_t i = 0; i < l->heard_count; i++) {
        room[i] = l->heard[i];
    }
    double centre = eh_median(room, l->heard_count);
    double spread = fmax(eh_mad(room, l->heard_count), 1.0);
    return centre - 2.5 * spread < eh_mean(l->hidden, l->hidden_count);
}

/* WHAT: the hand. */
static double read_level(const struct measures *m, size_t row, const void *what) {
    struct measure_twin t;
    if (m->row[row].hand != *(const int *)what || !level_pair(m, row, &t)) {
        return NAN;
    }
    return m->row[t.second].level - m->row[t.first].level;
}

static void note_levels(struct measures *m, int hand, double centre, double sign) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        double off = read_level(m, i, &hand) - centre;
        if (isfinite(off)) {
            measure_bars_note(m, i, sign != 0.0 ? sign * off : fabs(off));
        }
    }
}

/* WHOLE: of the run, where a few bars are told of; else NAN. */
static void say_level(const struct measures *m, struct eh_finding *f,
                      const struct verdict_call *call, uint32_t hidden, double whole) {
    struct verdict_words w = verdict_say(f);
    say_side(&w, "");
    if (f->direction == EH_DIRECTION_SCATTERED) {
        say(&w, "second strokes vary by ");
        say_number(&w, f->value, 1);
        say(&w, " dB against their first ones, where ");
        say_number(&w, f->limit_high, 1);
        say(&w, " would be fine");
        say_basis(&w, "double", "doubles");
        say_pad(&w, m->in->pad);
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
    say_whole(&w, whole, 1, " dB");
    if (hidden > 0) {
        say(&w, "; ");
        say_count(&w, hidden, "was", "were");
        say(&w, " not heard at all and may be softer than the pad reports");
    }
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "dB");
    }
    say_pad(&w, m->in->pad);
}

static struct verdict_call call_level(const struct measures *m, const struct levels *l,
                                      const struct eh_estimate *e, double limit) {
    struct verdict_call call = verdict_place(e, -limit, limit, m->style->least_n);
    if (l->topped > l->heard_count + l->hidden_count) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_SATURATED};
    } else if (call.reason == REASON_FEW && l->hidden_count > 0) {
        call.reason = REASON_HIDDEN;
    }
    return call;
}

/* All differences of a hand, those at the pad's top as they stand: they vary at least so much. */
static size_t all_differences(struct measures *m, int hand, double *out) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        double level = read_level(m, i, &hand);
        if (isfinite(level)) {
            out[n++] = level;
        }
    }
    return n;
}

static struct eh_estimate spread_of(struct measures *m, int hand) {
    size_t n = all_differences(m, hand, m->c);
    return eh_scale(m->c, n, MEASURE_BOUND, MEASURE_CONFIDENCE);
}

static double most_scatter(const struct measures *m) {
    return fmax(m->style->diddle_level_scatter_db, LIMEN_DB);
}

/* Where centre and spread are both surely beyond their limits, that is told which is further
 * beyond, in limits. */
static bool scatters(const struct measures *m, const struct eh_estimate *spread,
                     const struct eh_estimate *centre, double limit) {
    const double sure = spread->low / most_scatter(m);
    const double off = fmax(centre->low, -centre->high) / limit;
    return (double)spread->n >= m->style->least_n && sure > 1.0 && !(off > sure);
}

static void tell_scatter(struct measures *m, struct eh_finding *f, int hand,
                         const struct eh_estimate *spread, double centre) {
    verdict_fault(f, EH_VERDICT_UNEVEN, EH_DIRECTION_SCATTERED);
    verdict_numbers(f, spread, NAN, most_scatter(m), "dB");
    note_levels(m, hand, centre, 0.0);
    measure_bars_give(m, most_scatter(m), f);
}

static void tell_centre(struct measures *m, struct eh_finding *f, int hand, bool weak,
                        double limit) {
    verdict_fault(f, EH_VERDICT_UNEVEN, weak ? EH_DIRECTION_WEAK : EH_DIRECTION_STRONG);
    note_levels(m, hand, 0.0, weak ? -1.0 : 1.0);
    measure_bars_give(m, limit, f);
}

/* Even as a whole, but not in some bars. Returns the run's centre where such are told of, else NAN.
 */
static double judge_bars(struct measures *m, struct eh_finding *f, int hand, double centre,
                         double limit, double spread) {
    struct measure_limits limits = {-limit, limit, spread};
    struct measure_window window;
    if (!measure_bars_apart(m, read_level, &hand, &limits, &window)) {
        return NAN;
    }
    verdict_fault(f, EH_VERDICT_UNEVEN, window.above ? EH_DIRECTION_STRONG : EH_DIRECTION_WEAK);
    verdict_numbers(f, &window.e, -limit, limit, "dB");
    measure_window_give(&window, f);
    return centre;
}

static struct eh_estimate centre_of(struct measures *m, int hand, struct levels *l,
                                    uint32_t *out_hidden) {
    struct levels other = {.heard = m->c, .hidden = m->d};
    differences(m, !hand, &other);
    size_t other_count = other.heard_count;
    *l = (struct levels){.heard = m->a, .hidden = m->b};
    differences(m, hand, l);
    *out_hidden = near_mask(l, m->d) ? (uint32_t)l->hidden_count : 0;
    for (uint32_t i = 0; i < *out_hidden; i++) {
        l->heard[l->heard_count + i] = l->hidden[i];
    }
    struct eh_estimate e =
        measure_centre(l->heard, l->heard_count + *out_hidden, other.heard, other_count, 0.0, m->d);
    return measure_widen_scale(m, e);
}

static void level_of(struct measures *m, int hand) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_DIDDLE_LEVEL, (enum eh_side)hand);
    struct levels l;
    uint32_t hidden = 0;
    struct eh_estimate e = centre_of(m, hand, &l, &hidden);
    m->masked[hand] = hidden;
    double limit = fmax(m->style->diddle_level_db, LIMEN_DB);
    struct verdict_call call = call_level(m, &l, &e, limit);
    verdict_numbers(f, &e, -limit, limit, "dB");
    const struct eh_estimate spread = spread_of(m, hand);
    const struct eh_estimate wide = measure_widen_scale(m, spread);
    double whole = NAN;
    if (scatters(m, &wide, &e, limit)) {
        tell_scatter(m, f, hand, &wide, e.value);
    } else if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_EVEN);
        whole = judge_bars(m, f, hand, e.value, limit, spread.value);
    } else if (call.place != PLACE_UNKNOWN) {
        tell_centre(m, f, hand, call.place == PLACE_BELOW, limit);
    }
    say_level(m, f, &call, hidden, whole);
}

static void count_bare(struct measures *m) {
    for (size_t i = 0; i < m->count; i++) {
        struct measure_twin t;
        if (measure_twin_at(m, i, &t)) {
            m->census.bare_doubles[m->row[i].hand] += alike(m, &t) && !graced(m, &t);
        }
    }
}

void measure_diddle_level(struct measures *m) {
    count_bare(m);
    for (int hand = 0; hand < 2; hand++) {
        if (measure_is_about_doubles(m, hand, true)) {
            level_of(m, hand);
        }
    }
}
