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
 * may be softer than the pad reports, at all or so soon after a loud one: nobody can tell. */
struct missing {
    uint32_t sure, hidden, soft;
};

static struct missing count_missing(struct measures *m) {
    struct missing c = {0, 0, 0};
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        if (r->matched) {
            continue;
        }
        bool masked = r->kind == EH_KIND_SECOND && m->masked[r->hand] > 0;
        if (masked || r->kind == EH_KIND_GRACE || r->hidden != HIDDEN_NOT) {
            c.hidden++;
            c.soft += r->hidden == HIDDEN_FLOOR;
        } else {
            c.sure++;
        }
        measure_bars_note(m, i, 1.0);
    }
    return c;
}

static void missed(struct measures *m) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_MISSED, EH_SIDE_BOTH);
    struct missing c = count_missing(m);
    double limit = allowed(m->style->missed_share, m->count);
    exact(f, c.sure + c.hidden, limit, "strokes", m->count);
    f->low = c.sure;
    measure_bars_means_to_sums(m);
    measure_bars_give(m, 1.0, f);
    if (c.sure > limit) {
        verdict_fault(f, EH_VERDICT_SOME, EH_DIRECTION_NONE);
    } else if (c.sure + c.hidden <= limit) {
        verdict_fine(f, EH_VERDICT_NONE);
    }
    struct verdict_words w = verdict_say(f);
    say_count(&w, c.sure + c.hidden, "stroke was missed", "strokes were missed");
    say(&w, ", where ");
    say_range(&w, NAN, limit, 0, "");
    say(&w, " may fail");
    say_basis(&w, "stroke written", "strokes written");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say(&w, "; ");
        say_count(&w, c.hidden, "of them is", "of them are");
        say(&w, " grace notes or soft strokes");
        say_reason(&w, 2 * c.soft > c.hidden ? REASON_FLOOR : REASON_HIDDEN, 0, "");
    }
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
