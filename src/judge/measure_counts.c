/* What was left out, what came on top, and rim shots. */
#include "measure.h"

#include <math.h>

#include "verdict.h"

static double allowed(double share, size_t n) {
    return ceil(share * (double)n);
}

static void exact(struct eh_finding *f, uint32_t count, double limit, const char *unit, size_t n) {
    struct eh_estimate e = {count, count, count, n};
    verdict_numbers(f, &e, 0.0, limit, unit);
}

/* ---- Missed ---- */

/* A missing grace note may be a flat flam, a missing second stroke a very soft one, and any stroke
 * may be softer than the pad reports, at all or so soon after a loud one. How many were left out is
 * estimated from those that were heard: where the pad hides a share p of what is played, each
 * stroke that was heard stands for 1 / (1 - p) (Horvitz & Thompson 1952, JASA 47, 663-685). */
struct missing {
    uint32_t count;           /* not heard */
    uint32_t soft;            /* of these near the pad's floor */
    double mains, mains_var;  /* main strokes left out, and what chance adds */
    double graces, grace_var; /* the same of grace notes */
};

static void add_missing(struct missing *c, const struct measure_stroke *r, double hidden) {
    double out = r->matched ? -hidden / (1.0 - hidden) : 1.0;
    double var = hidden / (1.0 - hidden);
    c->mains += r->main ? out : 0.0;
    c->mains_var += r->main ? var : 0.0;
    c->graces += r->main ? 0.0 : out;
    c->grace_var += r->main ? 0.0 : var;
}

/* HIDDEN: the chance of each row that the pad hid it; NULL: none looked at. */
static struct missing count_missing(const struct measures *m, const double *hidden) {
    struct missing c = {0, 0, 0.0, 0.0, 0.0, 0.0};
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        c.count += r->matched ? 0 : 1;
        c.soft += !r->matched && r->hidden == HIDDEN_FLOOR;
        add_missing(&c, r, hidden != NULL ? hidden[i] : 0.0);
    }
    return c;
}

static void note_missing(struct measures *m) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (!m->row[i].matched) {
            measure_bars_note(m, i, 1.0);
        }
    }
    measure_bars_means_to_sums(m);
}

/* Strokes that were left out. Missing grace notes alone are no fault. */
static struct eh_estimate left_out(const struct missing *c) {
    double most = c->count;
    double value = c->mains + c->graces;
    double low = fmin(c->mains - 1.645 * sqrt(c->mains_var), value);
    double high = value + 1.645 * sqrt(c->mains_var + c->grace_var);
    return (struct eh_estimate){fmin(fmax(value, 0.0), most), fmin(fmax(low, 0.0), most),
                                fmin(fmax(high, 0.0), most), c->count};
}

static void say_missed(struct eh_finding *f, const struct missing *c, double likely) {
    struct verdict_words w = verdict_say(f);
    bool hidden = f->fault != EH_FAULT_YES && c->count > f->limit_high;
    if (hidden) {
        say_count(&w, c->count, "stroke was not heard", "strokes were not heard");
    } else {
        say_count(&w, c->count, "stroke was missed", "strokes were missed");
    }
    say(&w, ", where ");
    say_range(&w, NAN, f->limit_high, 0, "");
    say(&w, " may fail");
    say_basis(&w, "stroke written", "strokes written");
    if (f->fault == EH_FAULT_NO && hidden) {
        say(&w, "; as many as this pad hides at such distances");
    } else if (f->fault == EH_FAULT_UNCLEAR) {
        say(&w, "; about ");
        say_count(&w, (uint32_t)llround(c->count - likely), "of them is", "of them are");
        say(&w, " such as the pad hides");
        say_reason(&w, 2 * c->soft > c->count ? REASON_FLOOR : REASON_HIDDEN, 0, "");
    }
}

static void missed(struct measures *m) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_MISSED, EH_SIDE_BOTH);
    double limit = allowed(m->style->missed_share, m->count);
    struct missing c = count_missing(m, NULL);
    struct eh_estimate e = {c.count, c.count, c.count, m->count};
    if (c.count > limit) {
        double unknown = measure_hidden_chances(m, m->f);
        c = count_missing(m, m->f);
        c.mains_var += unknown;
        e = left_out(&c);
    }
    exact(f, c.count, limit, "strokes", m->count);
    f->low = ceil(e.low); /* strokes are whole */
    bool explained = c.count > limit && e.value <= limit && e.high <= 2.0 * limit;
    if (explained) {
        f->value = round(e.value);
        f->low = fmin(f->low, f->value);
        f->high = ceil(e.high);
    }
    note_missing(m);
    measure_bars_give(m, 1.0, f);
    if (e.low > limit) {
        verdict_fault(f, EH_VERDICT_SOME, EH_DIRECTION_NONE);
    } else if (c.count <= limit || explained) {
        verdict_fine(f, EH_VERDICT_NONE);
    }
    say_missed(f, &c, e.value);
}

/* ---- Extra ---- */

/* The row that a hit stands in, walking forwards from FROM. */
static size_t row_before(const struct measures *m, size_t from, int64_t at_ns) {
    while (from + 1 < m->count && m->in->plan->due[from + 1].at_ns <= at_ns) {
        from++;
    }
    return from;
}

/* The player's own offset is taken off, so that an early player's extra hit on the one stands in
 * its bar and not in the one before. */
static uint32_t count_extra(struct measures *m) {
    const double offset_ms = m->out->offset_ms;
    const int64_t offset_ns = isfinite(offset_ms) ? llround(offset_ms * 1e6) : 0;
    uint32_t n = 0;
    size_t row = 0;
    measure_bars_clear(m);
    for (size_t h = 0; h < m->in->hit_count && m->count > 0; h++) {
        if (m->in->fates[h].kind == EH_FATE_EXTRA) {
            row = row_before(m, row, m->in->hits[h].at_ns - offset_ns);
            measure_bars_note(m, row, 1.0);
            n++;
        }
    }
    return n;
}

static void extra(struct measures *m) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_EXTRA, EH_SIDE_BOTH);
    uint32_t n = count_extra(m);
    double limit = allowed(m->style->extra_share, m->count);
    exact(f, n, limit, "hits", m->count);
    measure_bars_means_to_sums(m);
    measure_bars_give(m, 1.0, f);
    if (n > limit) {
        verdict_fault(f, EH_VERDICT_SOME, EH_DIRECTION_NONE);
    } else {
        verdict_fine(f, EH_VERDICT_NONE);
    }
    struct verdict_words w = verdict_say(f);
    say_count(&w, n, "hit belongs", "hits belong");
    say(&w, " to nothing that is written, where ");
    say_range(&w, NAN, limit, 0, "");
    say(&w, " would pass");
    say_basis(&w, "stroke written", "strokes written");
}

void measure_counts(struct measures *m) {
    missed(m);
    extra(m);
}

/* ---- Rim ---- */

static bool on_rim(const struct measures *m, size_t h) {
    const struct eh_hit *hit = &m->in->hits[h];
    uint8_t kind = m->in->fates[h].kind;
    return (kind == EH_FATE_STROKE || kind == EH_FATE_BOUNCE) &&
           m->in->pad->zones[hit->note & 127] == EH_ZONE_RIM &&
           eh_hit_velocity(hit) >= m->in->pad->rim_gate_velocity;
}

/* Only hits above the pad's gate: it does not report softer rim contact. */
void measure_rim(struct measures *m) {
    if (!m->style->rim_forbidden) {
        return;
    }
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_RIM, EH_SIDE_BOTH);
    uint32_t n = 0;
    measure_bars_clear(m);
    for (size_t h = 0; h < m->in->hit_count; h++) {
        if (on_rim(m, h)) {
            measure_bars_note(m, m->in->fates[h].due, 1.0);
            n++;
        }
    }
    exact(f, n, 0.0, "hits", m->count);
    measure_bars_means_to_sums(m);
    measure_bars_give(m, 1.0, f);
    if (n > 0) {
        verdict_fault(f, EH_VERDICT_SOME, EH_DIRECTION_NONE);
    } else {
        verdict_fine(f, EH_VERDICT_NONE);
    }
    struct verdict_words w = verdict_say(f);
    say_count(&w, n, "loud hit sounded", "loud hits sounded");
    say(&w, " on the rim, where the style asks for none");
    say_basis(&w, "stroke written", "strokes written");
}
