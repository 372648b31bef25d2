/* Flams, drags and ruffs: the gaps of the grace notes and their softness. */
#include "measure.h"

#include <math.h>
#include <string.h>

#include "verdict.h"

/* A pad reports two strokes nearer than its dead time as one, unless the second is much louder. So
 * a flat flam often shows as a single note with the grace note's softness; it then stands for a gap
 * of three quarters of the dead time, where half of a row of flams at the edge of it lies. Where
 * the pad merges gaps that would be right, a single note says nothing.
 */
static double dead_ms(const struct measures *m) {
    return (double)m->in->pad->mask_dead_ns / 1e6;
}

static bool merging_tells(const struct measures *m) {
    return dead_ms(m) > 0.0 && dead_ms(m) <= m->style->flam_gap_low_ms;
}

static const double merged_share = 0.75;
/* Two sounds are one below 2 to 3 ms (Watson 2004, Semin. Hear. 25, 219-227). */
static const double one_ms = 2.0;
/* A single note this much below the main notes has the grace note's level. */
static const double merged_softer_db = 3.0;
/* Above this share of single notes the others cannot speak for all. */
static const double single_share = 1.0 / 3.0;

struct figures {
    int hand;              /* 0, 1, -1 both */
    bool drags;            /* two or more grace notes */
    size_t written, heard; /* heard: main stroke and every grace note */
    size_t gaps, levels;   /* in A (log ms) and B (dB; what the pad asked of each in D) */
    size_t single, merged; /* main stroke only; of these soft as a grace note */
    size_t partial;        /* main stroke and some of the grace notes */
    double main_level;     /* median of the mains of heard figures */
    double softness;       /* what their grace notes are softer */
    size_t other;          /* the other hand's levels, in E, what they had to pass in F */
};

static bool of_hand(const struct measures *m, const struct figures *f, size_t i) {
    const struct measure_stroke *r = &m->row[i];
    return r->main && r->graces > 0 && (f->hand < 0 || r->hand == f->hand) &&
           (r->graces > 1) == f->drags && i >= r->graces;
}

static size_t graces_heard(const struct measures *m, size_t main) {
    size_t n = 0;
    for (size_t g = 1; g <= m->row[main].graces; g++) {
        n += isfinite(measure_came(&m->row[main - g])) ? 1 : 0;
    }
    return n;
}

static double came_at(const struct measures *m, size_t i) {
    return m->row[i].at_ms + measure_came(&m->row[i]);
}

static double gap_before(const struct measures *m, size_t i) {
    return fmax(came_at(m, i) - came_at(m, i - 1), 0.5);
}

static double softness_of(const struct measures *m, size_t main) {
    double soft = 0.0;
    for (size_t g = 1; g <= m->row[main].graces; g++) {
        soft += m->row[main - g].level;
    }
    return m->row[main].level - soft / m->row[main].graces;
}

static void add_heard(struct measures *m, struct figures *f, size_t main) {
    for (size_t g = 0; g < m->row[main].graces; g++) {
        m->a[f->gaps++] = log(gap_before(m, main - g));
    }
    double before = m->row[main - 1].level;
    double hides = measure_pad_hides(m, before, gap_before(m, main)) - before;
    m->d[f->levels] = isfinite(hides) ? hides : -60.0;
    m->b[f->levels++] = softness_of(m, main);
    m->c[f->heard++] = m->row[main].level;
}

/* A drag has more gaps than main strokes, but never more than grace notes and main strokes. */
static void collect(struct measures *m, struct figures *f) {
    for (size_t i = 0; i < m->count; i++) {
        if (!of_hand(m, f, i)) {
            continue;
        }
        f->written++;
        size_t graces = graces_heard(m, i);
        if (m->row[i].matched && graces == m->row[i].graces) {
            add_heard(m, f, i);
        } else if (m->row[i].matched) {
            f->single += graces == 0;
            f->partial += graces > 0;
        }
    }
    f->main_level = eh_median(m->c, f->heard);
}

/* Whether so many figures lack a grace note that those heard cannot speak for all. */
static bool too_few_heard(const struct figures *f) {
    size_t unknown = f->single - f->merged + f->partial;
    return (double)unknown > single_share * (double)f->written;
}

/* Grace notes that are missing: masked by the pad, or softer than it reports. */
static enum verdict_reason why_missing(const struct measures *m, const struct figures *f) {
    double soft = isfinite(f->softness) ? f->softness : m->style->grace_softer_db;
    bool near = f->main_level - soft < m->floor_db + merged_softer_db;
    return near ? REASON_FLOOR : REASON_HIDDEN;
}

static void collect_merged(struct measures *m, struct figures *f) {
    bool tells = f->heard > 0 && merging_tells(m) && why_missing(m, f) != REASON_FLOOR;
    for (size_t i = 0; i < m->count && tells; i++) {
        if (of_hand(m, f, i) && m->row[i].matched && graces_heard(m, i) == 0 &&
            m->row[i].level < f->main_level - merged_softer_db) {
            f->merged++;
            m->a[f->gaps++] = log(merged_share * dead_ms(m));
        }
    }
}

/* ---- Gap ---- */

static struct eh_estimate gap_estimate(const struct measures *m, struct figures *f) {
    struct eh_estimate e = eh_location(m->a, f->gaps, MEASURE_CONFIDENCE);
    e.value = exp(e.value);
    double clock = 1.645 * m->step_ms;
    e.low = e.value - hypot(e.value - exp(e.low), clock);
    e.high = e.value + hypot(exp(e.high) - e.value, clock);
    if (isfinite(e.high) && 2 * f->merged >= f->gaps) {
        e.low = fmin(e.low, one_ms); /* how near the merged ones lay cannot be known */
    }
    e.n = f->heard + f->merged;
    return e;
}

static void note_gaps(struct measures *m, const struct figures *f, double sign) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (of_hand(m, f, i) && m->row[i].matched && isfinite(measure_came(&m->row[i - 1]))) {
            measure_bars_note(m, i, sign * gap_before(m, i));
        }
    }
}

static void say_gap(const struct measures *m, struct eh_finding *f, const struct figures *g,
                    const struct verdict_call *call) {
    const char *many = g->drags ? "drags" : "flams";
    struct verdict_words w = verdict_say(f);
    say_side(&w, "");
    say(&w, many);
    if (!isfinite(f->value)) {
        say(&w, ": no grace note was heard apart from its main note; flat, or played without");
        say_reason(&w, why_missing(m, g), 0, "ms");
        return;
    }
    say(&w, f->verdict == EH_VERDICT_FLAT   ? " are flat: "
            : f->verdict == EH_VERDICT_WIDE ? " are wide: "
                                            : ": ");
    say_number(&w, f->value, 0);
    say(&w, g->drags ? " ms from note to note, where " : " ms from grace to main note, where ");
    say_range(&w, f->limit_low, f->limit_high, 0, "ms");
    say(&w, " is right");
    say_basis(&w, g->drags ? "drag" : "flam", many);
    if (g->single > 0) {
        say(&w, "; ");
        say_count(&w, (uint32_t)g->single, "gave", "gave");
        say(&w, " one note only");
    }
    if (g->partial > 0) {
        say(&w, "; ");
        say_count(&w, (uint32_t)g->partial, "lacks", "lack");
        say(&w, " a grace note");
    }
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 0, "ms");
    }
}

static void judge_gap(struct measures *m, struct figures *g, enum eh_side side) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_FLAM_GAP, side);
    double low = m->style->flam_gap_low_ms;
    double high = g->drags ? m->style->drag_gap_high_ms : m->style->flam_gap_high_ms;
    struct eh_estimate e = gap_estimate(m, g);
    struct verdict_call call = verdict_place(&e, low, high, m->style->least_n);
    if (too_few_heard(g)) {
        call = (struct verdict_call){PLACE_UNKNOWN, why_missing(m, g)};
    } else if (m->clock_ms > low && call.reason != REASON_FEW) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_COARSE};
    }
    verdict_numbers(f, &e, low, high, "ms");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_RIGHT);
    } else if (call.place != PLACE_UNKNOWN) {
        bool wide = call.place == PLACE_ABOVE;
        verdict_fault(f, wide ? EH_VERDICT_WIDE : EH_VERDICT_FLAT, EH_DIRECTION_NONE);
        note_gaps(m, g, wide ? 1.0 : -1.0);
        measure_bars_give(m, wide ? high : -low, f);
    }
    say_gap(m, f, g, &call);
}

/* ---- Level ---- */

static void note_loud(struct measures *m, const struct figures *f) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (of_hand(m, f, i) && m->row[i].matched && isfinite(measure_came(&m->row[i - 1]))) {
            measure_bars_note(m, i, m->row[i - 1].level - m->row[i].level);
        }
    }
}

static bool mains_topped(const struct measures *m, const struct figures *f) {
    size_t top = 0;
    for (size_t i = 0; i < m->count; i++) {
        top += of_hand(m, f, i) && m->row[i].saturated;
    }
    return 2 * top > f->heard;
}

/* How far figures of one note bear out that HIDDEN main notes were cut off: not at all where there
 * are none, and the less the more were heard that the mask should have hidden. */
static double borne_out(const struct measures *m, const struct figures *g, double hidden) {
    double single = (double)(g->single + g->partial);
    size_t below = 0;
    for (size_t i = 0; i < g->levels; i++) {
        /* The map may be a tenth off, a velocity half a step. */
        below += m->b[i] < m->d[i] - 0.2 * fabs(m->d[i]) - 0.5;
    }
    if (!(single > 0.0) || !(hidden > 0.0)) {
        return 0.0;
    }
    double chance = 1.645 * sqrt(hidden); /* a count's own, Poisson */
    return fmin((single + chance) / hidden, 1.0) * single / (single + (double)below);
}

/* After a loud grace note the pad hides a main note that is not loud enough, so that loud grace
 * notes are the ones that are not seen. */
static struct eh_estimate softness(struct measures *m, const struct figures *g) {
    struct measure_cut own = {m->b, m->d, g->levels};
    struct measure_cut other = {m->e, m->f, g->other};
    double hidden = 0.0;
    struct eh_estimate whole = measure_uncut(&own, &other, &hidden);
    double seen = isfinite(whole.value) ? borne_out(m, g, hidden) : 0.0;
    struct eh_estimate e = eh_location(m->b, g->levels, MEASURE_CONFIDENCE);
    if (seen > 0.0) {
        e.value += seen * (whole.value - e.value);
        e.low += seen * (whole.low - e.low);
        e.high += seen * (whole.high - e.high);
    }
    return e;
}

static void judge_softness(struct measures *m, struct figures *g, enum eh_side side) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_GRACE_LEVEL, side);
    double low = m->style->grace_softer_db;
    struct eh_estimate e = measure_widen_scale(m, softness(m, g));
    struct verdict_call call = verdict_place(&e, low, NAN, m->style->least_n);
    g->softness = e.value;
    if ((call.place == PLACE_BELOW || call.reason == REASON_FEW) && mains_topped(m, g)) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_SATURATED};
    } else if (call.place == PLACE_BELOW && too_few_heard(g) && why_missing(m, g) == REASON_FLOOR) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_FLOOR}; /* the loud ones are left */
    }
    verdict_numbers(f, &e, low, NAN, "dB");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_SOFT);
    } else if (call.place == PLACE_BELOW) {
        verdict_fault(f, EH_VERDICT_LOUD, EH_DIRECTION_NONE);
        note_loud(m, g);
        measure_bars_give(m, -low, f);
    }
    struct verdict_words w = verdict_say(f);
    say_side(&w, "");
    say(&w, "grace notes ");
    if (!isfinite(e.value)) {
        say(&w, "were not heard apart from their main notes");
        return;
    }
    say(&w, f->fault == EH_FAULT_YES ? "are too loud: " : "are ");
    say_number(&w, fabs(e.value), 1);
    say(&w, e.value < 0.0 ? " dB louder than their main notes, where softer by "
                          : " dB softer than their main notes, where ");
    say_range(&w, low, NAN, 1, "dB");
    say(&w, " is right");
    say_basis(&w, g->drags ? "drag" : "flam", g->drags ? "drags" : "flams");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call.reason, 1, "dB");
    }
    say_pad(&w, m->in->pad);
}

/* ---- Both ---- */

/* One kind of figure is judged under these two aspects: the one that the exercise has more of. */
static bool more_drags(const struct measures *m) {
    size_t drags = 0;
    size_t flams = 0;
    for (size_t i = 0; i < m->count; i++) {
        drags += m->row[i].main && m->row[i].graces > 1;
        flams += m->row[i].main && m->row[i].graces == 1;
    }
    return drags > flams;
}

static size_t written(const struct measures *m, int hand, bool drags) {
    struct figures f = {.hand = hand, .drags = drags};
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        n += of_hand(m, &f, i);
    }
    return n;
}

/* The levels of HAND's figures to E, what they had to pass to F. */
static size_t put_aside(struct measures *m, int hand, bool drags) {
    struct figures f = {.hand = hand, .drags = drags};
    collect(m, &f);
    memcpy(m->e, m->b, f.levels * sizeof *m->b);
    memcpy(m->f, m->d, f.levels * sizeof *m->d);
    return f.levels;
}

void measure_flams(struct measures *m) {
    if (m->census.flams[0] + m->census.flams[1] == 0) {
        return;
    }
    bool drags = more_drags(m);
    double least = m->style->least_n;
    bool apart = (double)written(m, 0, drags) >= least && (double)written(m, 1, drags) >= least;
    for (int hand = 0; hand < (apart ? 2 : 1); hand++) {
        struct figures f = {.hand = apart ? hand : -1, .drags = drags};
        enum eh_side side = apart ? (enum eh_side)hand : EH_SIDE_BOTH;
        f.other = apart ? put_aside(m, !hand, drags) : 0;
        collect(m, &f);
        judge_softness(m, &f, side);
        collect_merged(m, &f);
        judge_gap(m, &f, side);
    }
}
