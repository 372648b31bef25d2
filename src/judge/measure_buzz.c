/* Buzz rolls: how many bounces a press has, and how gap-free the sound is. */
#include "measure.h"

#include <math.h>

#include "verdict.h"

/* What follows from one published measurement (Groove MIDI Dataset 1.0.0, Gillick et al. 2019: 1639
 * isolated presses on mesh heads): the bounces of a press come 47, 36, 33 and 31 ms apart
 * (medians), so presses of three notes and more last from 83 ms on; more than half of them have
 * three notes.
 *
 * A hand that is further away than such a press and the style's longest silence together is not
 * reached by an ordinary press: there the hands are judged and the sound is not. */
static const double bounce_ms[] = {47.0, 36.0, 33.0, 31.0};
enum { BOUNCES = sizeof bounce_ms / sizeof *bounce_ms };
static const double press_ms = 83.0;

/* A press of twelve notes is the most that a style can ask for. */
enum { NOTES_MOST = 12 };

/* One gap in ten may be longer than the limit. */
static const double gap_share = 0.9;

/* Presses have a whole number of notes: where most of them have N or more, and the others one less,
 * the mean lies above N less a half. */
static const double half_note = 0.5;

struct presses {
    int hand;           /* 0, 1, -1 both */
    size_t n;           /* heard */
    size_t reaching;    /* of them, written to sound up to the next stroke ... */
    size_t near, gaps;  /* ... which is near enough for an ordinary press; gaps of these */
    double spacing_ms;  /* from press to next stroke, median of those that reach it; NAN: none */
    double closable_ms; /* what an ordinary press can close */
    double asked_notes; /* what is asked of a press: the style's, or what fits; mean */
    double first_level; /* median of the presses' first notes, dB */
    struct measure_roll roll;
};

/* From its first to its last note a press falls by about 4 dB (median of the same presses). */
static const double decay_db = 4.0;
static const double near_floor_db = 3.0;
/* A dead time of more than this swallows many of the bounces, which come 47 to 31 ms apart. */
static const double swallowing_ms = 20.0;

/* How many notes a press has before another note would fall on the next hand's stroke, which is
 * SPACING_MS later; a share of a note for a share of a gap. */
static double notes_that_fit(double spacing_ms) {
    double notes = 0.0;
    for (int k = 0; k < NOTES_MOST && spacing_ms > 0.0; k++) {
        const double gap = bounce_ms[k < BOUNCES ? k : BOUNCES - 1];
        notes += fmin(spacing_ms / gap, 1.0);
        spacing_ms -= gap;
    }
    return fmax(notes, 1.0);
}

static bool wanted(const struct measures *m, const struct presses *p, size_t i) {
    const struct measure_stroke *r = &m->row[i];
    return r->kind == EH_KIND_BUZZ && (p->hand < 0 || r->hand == p->hand);
}

/* From a press to the stroke that it is written to reach; INFINITY where it reaches none. */
static double spacing_of(const struct measures *m, size_t i) {
    const size_t next = measure_next_main(m, i);
    return next < m->count && measure_reaches(m, i, next) ? m->row[next].at_ms - m->row[i].at_ms
                                                          : INFINITY;
}

static bool closable(const struct measures *m, const struct presses *p, size_t i) {
    return spacing_of(m, i) <= p->closable_ms;
}

/* When each press's latest note came, to M->F; the gaps inside presses whose sound is judged to
 * WIDE. */
static void walk_bounces(struct measures *m, struct presses *p) {
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        m->f[i] = r->matched ? r->at_ms + r->off_ms : NAN;
    }
    for (size_t h = 0; h < m->in->hit_count; h++) {
        const struct eh_fate *fate = &m->in->fates[h];
        if (fate->kind != EH_FATE_BOUNCE || !wanted(m, p, fate->due)) {
            continue;
        }
        const struct eh_hit *hit = &m->in->hits[h];
        double at = (double)(hit->at_ns - m->in->plan->start_ns) / 1e6;
        double gap = at - m->f[fate->due];
        if (gap > 0.0 && closable(m, p, fate->due)) {
            m->wide[p->gaps++] = gap;
        }
        m->f[fate->due] = fmax(m->f[fate->due], at);
    }
}

/* From the last bounce to the next stroke, where an ordinary press closes that. */
static double gap_after(const struct measures *m, const struct presses *p, size_t i) {
    const size_t next = measure_next_main(m, i);
    if (next >= m->count || !m->row[next].matched || !closable(m, p, i)) {
        return NAN;
    }
    return fmax(m->row[next].at_ms + m->row[next].off_ms - m->f[i], 0.0);
}

/* Notes a press to B, gaps to WIDE, last notes to F. */
static void collect(struct measures *m, struct presses *p) {
    double asked = 0.0;
    p->closable_ms = press_ms + m->style->buzz_gap_ms;
    walk_bounces(m, p);
    for (size_t i = 0; i < m->count; i++) {
        if (!wanted(m, p, i) || !m->row[i].matched) {
            continue;
        }
        const double spacing = spacing_of(m, i);
        const double gap = gap_after(m, p, i);
        m->b[p->n++] = 1.0 + m->in->matches[i].bounces;
        asked += fmin(m->style->buzz_notes, notes_that_fit(spacing));
        if (isfinite(spacing)) {
            m->c[p->reaching++] = spacing;
        }
        if (isfinite(gap)) {
            p->near++;
            m->wide[p->gaps++] = gap;
        }
    }
    p->asked_notes = asked / (double)p->n;
    p->spacing_ms = eh_median(m->c, p->reaching);
}

/* Notes a press: counts from 1 to about 6, so the plain mean serves. */
static struct eh_estimate notes_a_press(const struct measures *m, const struct presses *p) {
    struct eh_estimate e = {NAN, NAN, NAN, p->n};
    if (p->n < 3) {
        return e;
    }
    double n = (double)p->n;
    double half = eh_student_quantile(0.5 + MEASURE_CONFIDENCE / 2.0, fmax(n - 1.0, 3.0)) *
                  eh_sd(m->b, p->n) / sqrt(n);
    e.value = eh_mean(m->b, p->n);
    e.low = e.value - half;
    e.high = e.value + half;
    return e;
}

/* The gap that nine in ten stay below, with the interval of that order statistic. */
static struct eh_estimate long_gap(struct measures *m, const struct presses *p) {
    struct eh_estimate e = {NAN, NAN, NAN, p->near};
    if (p->gaps == 0) {
        return e;
    }
    eh_sort(m->wide, p->gaps);
    double n = (double)p->gaps;
    double half = 1.645 * sqrt(gap_share * (1.0 - gap_share) / n);
    e.value = eh_quantile(m->wide, p->gaps, gap_share);
    e.low = eh_quantile(m->wide, p->gaps, fmax(gap_share - half, 0.0));
    e.high = eh_quantile(m->wide, p->gaps, fmin(gap_share + half, 1.0));
    return e;
}

static void note_presses(struct measures *m, const struct presses *p, bool gaps) {
    struct presses again = {.hand = p->hand, .closable_ms = p->closable_ms};
    walk_bounces(m, &again);
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (wanted(m, p, i) && m->row[i].matched) {
            double gap = gap_after(m, p, i);
            double bad = gaps ? gap : -(1.0 + m->in->matches[i].bounces);
            if (isfinite(bad)) {
                measure_bars_note(m, i, bad);
            }
        }
    }
}

/* ---- The sentence ---- */

/* Why the sound is not judged, if it is not. */
static void say_silence(struct verdict_words *w, const struct measures *m,
                        const struct presses *p) {
    if (p->reaching == 0) {
        say(w, "; no press is written to reach the next stroke");
    } else if (p->spacing_ms > p->closable_ms) {
        say(w, "; ");
        say_number(w, p->spacing_ms, 0);
        say(w, " ms from hand to hand are more than an ordinary press closes (");
        say_number(w, p->closable_ms, 0);
        say(w, "): at this hand speed the hands are judged, the sound is not");
    } else if ((double)p->near < m->style->least_n) {
        say(w, "; too few presses have the next one near enough to judge the sound");
    }
}

/* Whole notes without a decimal. */
static void say_notes(struct verdict_words *w, double notes) {
    say_number(w, notes, fabs(notes - round(notes)) < 0.05 ? 0 : 1);
}

static void say_asked(struct verdict_words *w, const struct measures *m, const struct presses *p) {
    if (p->asked_notes < m->style->buzz_notes - 0.05) {
        say(w, "; no more than about ");
        say_notes(w, p->asked_notes);
        say(w, " fit between these hands, so that is asked instead of ");
        say_notes(w, m->style->buzz_notes);
    }
}

static void say_buzz(struct measures *m, struct eh_finding *f, const struct presses *p,
                     const struct eh_estimate *notes, const struct eh_estimate *gap,
                     const struct verdict_call *call, bool sound) {
    struct verdict_words w = verdict_say(f);
    say_side(&w, "");
    if (!isfinite(notes->value)) {
        say(&w, "buzz strokes: too few presses were heard to say");
        return;
    }
    say(&w, "buzz strokes have ");
    say_number(&w, notes->value, 1);
    say(&w, " notes a press");
    if (f->verdict == EH_VERDICT_THIN) {
        say(&w, ", too thin: most presses of a sustained roll have ");
        say_notes(&w, p->asked_notes);
        say(&w, " or more");
    } else if (f->verdict == EH_VERDICT_GAPPED) {
        say(&w, " and end too early: one gap in ten is longer than ");
        say_number(&w, gap->value, 0);
        say(&w, " ms, where ");
        say_number(&w, f->limit_high, 0);
        say(&w, " ms still sounds closed");
    } else if (f->fault == EH_FAULT_NO && sound) {
        say(&w, ", nine gaps in ten up to ");
        say_number(&w, gap->value, 0);
        say(&w, " ms");
    }
    say_basis(&w, "press", "presses");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, f->unit);
    }
    say_asked(&w, m, p);
    if (!sound) {
        say_silence(&w, m, p);
    }
    measure_roll_say(&w, &p->roll);
}

/* ---- The verdict ---- */

/* Notes that are missing may be the pad's doing. */
static struct verdict_call allow_for_pad(const struct measures *m, const struct presses *p,
                                         struct verdict_call call) {
    const bool soft = p->first_level - decay_db < m->floor_db + near_floor_db;
    const bool swallowed = (double)m->in->pad->mask_dead_ns / 1e6 > swallowing_ms;
    if (call.place != PLACE_INSIDE && call.reason != REASON_FEW && (soft || swallowed)) {
        return (struct verdict_call){PLACE_UNKNOWN, soft ? REASON_FLOOR : REASON_HIDDEN};
    }
    return call;
}

static void judge_thin(struct measures *m, struct presses *p, struct eh_finding *f,
                       const struct eh_estimate *notes, struct verdict_call *call) {
    const double least = p->asked_notes - half_note;
    *call = allow_for_pad(m, p, verdict_place(notes, least, NAN, m->style->least_n));
    verdict_numbers(f, notes, least, NAN, "notes");
    if (call->place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_SUSTAINED);
    } else if (call->place == PLACE_BELOW) {
        verdict_fault(f, EH_VERDICT_THIN, EH_DIRECTION_NONE);
        note_presses(m, p, false);
        measure_bars_give(m, -least, f);
    }
}

static void judge_gaps(struct measures *m, struct presses *p, struct eh_finding *f,
                       const struct eh_estimate *gap, struct verdict_call *call) {
    double limit = m->style->buzz_gap_ms;
    const struct verdict_call gaps =
        allow_for_pad(m, p, verdict_place(gap, NAN, limit, m->style->least_n));
    if (gaps.place == PLACE_INSIDE) {
        return;
    }
    *call = gaps;
    verdict_numbers(f, gap, NAN, limit, "ms");
    if (gaps.place == PLACE_ABOVE) {
        verdict_fault(f, EH_VERDICT_GAPPED, EH_DIRECTION_NONE);
        note_presses(m, p, true);
        measure_bars_give(m, limit, f);
    } else {
        f->verdict = EH_VERDICT_UNCLEAR;
        f->fault = EH_FAULT_UNCLEAR;
    }
}

static void buzz_of(struct measures *m, int hand) {
    struct presses p = {.hand = hand};
    struct eh_finding *f =
        verdict_add(m->out, EH_ASPECT_BUZZ, hand < 0 ? EH_SIDE_BOTH : (enum eh_side)hand);
    collect(m, &p);
    struct eh_estimate gap = long_gap(m, &p);
    struct eh_estimate notes = notes_a_press(m, &p);
    p.first_level = measure_press_level(m, hand, NULL);
    measure_roll_find(m, hand, &p.roll);
    struct verdict_call call;
    judge_thin(m, &p, f, &notes, &call);
    const bool sound = (double)p.near >= m->style->least_n;
    if (f->fault == EH_FAULT_NO && sound) {
        judge_gaps(m, &p, f, &gap, &call);
    }
    say_buzz(m, f, &p, &notes, &gap, &call, sound);
}

void measure_buzz(struct measures *m) {
    const uint32_t *n = m->census.presses;
    if (n[0] + n[1] == 0) {
        return;
    }
    if (n[0] >= m->style->least_n && n[1] >= m->style->least_n) {
        buzz_of(m, 0);
        buzz_of(m, 1);
    } else {
        buzz_of(m, -1);
    }
}
