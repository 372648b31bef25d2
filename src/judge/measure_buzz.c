/* Buzz rolls: how many bounces a press has, and how gap-free the sound is. */
#include "measure.h"

#include <math.h>

#include "verdict.h"

/* Presses on mesh heads last 80 to 190 ms (Groove MIDI Dataset 1.0.0: 83 ms with three notes, 184
 * with six). When the hands are 200 ms apart or further no press can reach the next. */
static const double closable_ms = 199.0;

/* One gap in ten may be longer than the limit. */
static const double gap_share = 0.9;

struct presses {
    int hand; /* 0, 1, -1 both */
    size_t n, gaps;
    double spacing_ms;
    double first_level;           /* median of the presses' first notes, dB */
    double balance;               /* left less right of these; NAN where one hand has too few */
    double start_late, end_early; /* medians over rolls, ms; NAN without */
    size_t starts, ends;
};

/* From its first to its last note a press falls by about 4 dB (median of 1639 isolated presses of
 * three notes and more, Groove MIDI Dataset 1.0.0). */
static const double decay_db = 4.0;
static const double near_floor_db = 3.0;
/* Bounces come 47 to 31 ms apart (medians of the same presses): a dead time of more than this
 * swallows many of them. */
static const double swallowing_ms = 20.0;

static bool wanted(const struct measures *m, const struct presses *p, size_t i) {
    const struct measure_stroke *r = &m->row[i];
    return r->kind == EH_KIND_BUZZ && (p->hand < 0 || r->hand == p->hand);
}

/* When each press's latest note came, to M->F; the gaps inside presses to WIDE. */
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
        if (gap > 0.0) {
            m->wide[p->gaps++] = gap;
        }
        m->f[fate->due] = fmax(m->f[fate->due], at);
    }
}

/* Whether a press is written to sound up to row NEXT. */
static bool reaches(const struct measures *m, size_t press, size_t next) {
    const struct eh_stroke *s = &m->strokes[m->row[press].stroke];
    return m->row[next].stretch == m->row[press].stretch &&
           m->in->plan->due[press].at + s->length >= m->in->plan->due[next].at;
}

/* From the last bounce to the next stroke, where the press is written to reach it. */
static double gap_after(const struct measures *m, size_t i) {
    size_t next = measure_next_main(m, i);
    if (next >= m->count || !m->row[next].matched) {
        return NAN;
    }
    return reaches(m, i, next) ? fmax(m->row[next].at_ms + m->row[next].off_ms - m->f[i], 0.0)
                               : NAN;
}

static void collect(struct measures *m, struct presses *p) {
    size_t spacings = 0;
    walk_bounces(m, p);
    for (size_t i = 0; i < m->count; i++) {
        if (!wanted(m, p, i)) {
            continue;
        }
        m->c[spacings++] = m->row[i].gap_ms;
        if (m->row[i].matched) {
            m->b[p->n++] = 1.0 + m->in->matches[i].bounces;
            double gap = gap_after(m, i);
            if (isfinite(gap)) {
                m->wide[p->gaps++] = gap;
            }
        }
    }
    p->spacing_ms = eh_median(m->c, spacings);
}

/* Median level of HAND's presses (-1: both). */
static double press_level(struct measures *m, int hand, size_t *out_n) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        if (r->kind == EH_KIND_BUZZ && r->matched && (hand < 0 || r->hand == hand)) {
            m->c[n++] = r->level;
        }
    }
    *out_n = n;
    return eh_median(m->c, n);
}

static void find_balance(struct measures *m, struct presses *p) {
    size_t left = 0;
    size_t right = 0;
    size_t own = 0;
    double l = press_level(m, 0, &left);
    double r = press_level(m, 1, &right);
    double least = m->style->least_n;
    p->first_level = press_level(m, p->hand, &own);
    p->balance = (double)left >= least && (double)right >= least ? l - r : NAN;
}

/* A roll begins with a press that follows none, and is released after a press that none follows and
 * that is not written to reach the next stroke. M->F holds when each press's last note came. */
static void find_ends(struct measures *m, struct presses *p) {
    double ns_per_ms = 1e6;
    p->starts = 0;
    p->ends = 0;
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        if (!wanted(m, p, i) || !r->matched) {
            continue;
        }
        size_t next = measure_next_main(m, i);
        bool begins = i == 0 || m->row[i - 1].kind != EH_KIND_BUZZ || !reaches(m, i - 1, i);
        if (begins && isfinite(m->time_rest[i])) {
            m->c[p->starts++] = m->time_rest[i];
        }
        bool released = next >= m->count || !reaches(m, i, next);
        if (released && isfinite(m->f[i])) {
            const struct eh_due *due = &m->in->plan->due[i];
            const struct eh_plan_bar *bar = &m->in->plan->bars[due->bar];
            double per_tick = (double)(bar->end_ns - bar->at_ns) / (double)(bar->end - bar->at);
            double length = (double)m->strokes[r->stroke].length * per_tick / ns_per_ms;
            m->d[p->ends++] = r->at_ms + m->out->offset_ms + length - m->f[i];
        }
    }
    p->start_late = eh_median(m->c, p->starts);
    p->end_early = eh_median(m->d, p->ends);
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
    struct eh_estimate e = {NAN, NAN, NAN, p->n};
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
    struct presses again = {.hand = p->hand};
    walk_bounces(m, &again);
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (wanted(m, p, i) && m->row[i].matched) {
            double gap = gap_after(m, i);
            double bad = gaps ? gap : -(1.0 + m->in->matches[i].bounces);
            if (isfinite(bad)) {
                measure_bars_note(m, i, bad);
            }
        }
    }
}

static const double equal_db = 0.05; /* printed as 0.0 */

/* Not judged: there is no published measure of it. The hands are, under hand-level and hand-timing,
 * whose strokes the presses are. */
static void say_roll(struct verdict_words *w, const struct presses *p) {
    if (isfinite(p->balance) && fabs(p->balance) < equal_db) {
        say(w, "; both hands' presses are equally loud");
    } else if (isfinite(p->balance)) {
        say(w, p->balance < 0.0 ? "; left presses are " : "; right presses are ");
        say_number(w, fabs(p->balance), 1);
        say(w, " dB softer");
    }
    if (p->starts > 0) {
        say(w, p->starts == 1 ? "; the roll starts " : "; rolls start ");
        say_number(w, fabs(p->start_late), 0);
        say(w, p->start_late < 0.0 ? " ms early" : " ms late");
    }
    if (p->ends > 0) {
        say(w, "; the sound ends ");
        say_number(w, fabs(p->end_early), 0);
        say(w, p->end_early < 0.0 ? " ms after its release is written"
                                  : " ms before its release is written");
    }
}

static void say_buzz(struct eh_finding *f, const struct presses *p, const struct eh_estimate *notes,
                     const struct eh_estimate *gap, const struct verdict_call *call) {
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
        say(&w, ", too thin: ");
        say_number(&w, f->limit_low, 0);
        say(&w, " or more sustain");
    } else if (f->verdict == EH_VERDICT_GAPPED) {
        say(&w, " and end too early: one gap in ten is longer than ");
        say_number(&w, gap->value, 0);
        say(&w, " ms, where ");
        say_number(&w, f->limit_high, 0);
        say(&w, " ms still sounds closed");
    } else if (f->fault == EH_FAULT_NO) {
        say(&w, ", nine gaps in ten up to ");
        say_number(&w, gap->value, 0);
        say(&w, " ms");
    }
    say_basis(&w, "press", "presses");
    say_roll(&w, p);
    if (f->fault != EH_FAULT_UNCLEAR) {
        return;
    }
    if (p->spacing_ms > closable_ms && call->reason == REASON_NONE) {
        say(&w, "; at this tempo a press cannot reach the next: the hands are judged, the sound is "
                "not");
    } else {
        say_reason(&w, call->reason, 1, f->unit);
    }
}

static bool judge_thin(struct measures *m, struct presses *p, struct eh_finding *f,
                       const struct eh_estimate *notes, struct verdict_call *call) {
    double least = m->style->buzz_notes;
    *call = verdict_place(notes, least, NAN, m->style->least_n);
    if (call->place != PLACE_INSIDE && call->reason != REASON_FEW) {
        bool soft = p->first_level - decay_db < m->floor_db + near_floor_db;
        bool swallowed = (double)m->in->pad->mask_dead_ns / 1e6 > swallowing_ms;
        call->place = soft || swallowed ? PLACE_UNKNOWN : call->place;
        call->reason = soft ? REASON_FLOOR : swallowed ? REASON_HIDDEN : call->reason;
    }
    verdict_numbers(f, notes, least, NAN, "notes");
    if (call->place == PLACE_BELOW) {
        verdict_fault(f, EH_VERDICT_THIN, EH_DIRECTION_NONE);
        note_presses(m, p, false);
        measure_bars_give(m, -least + 0.5, f);
    }
    return call->place == PLACE_INSIDE;
}

static void judge_gaps(struct measures *m, struct presses *p, struct eh_finding *f,
                       const struct eh_estimate *gap, struct verdict_call *call) {
    double limit = m->style->buzz_gap_ms;
    struct verdict_call gaps = verdict_place(gap, NAN, limit, m->style->least_n);
    if (gaps.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_SUSTAINED);
        return;
    }
    *call = gaps;
    verdict_numbers(f, gap, NAN, limit, "ms");
    if (gaps.place == PLACE_ABOVE) {
        verdict_fault(f, EH_VERDICT_GAPPED, EH_DIRECTION_NONE);
        note_presses(m, p, true);
        measure_bars_give(m, limit, f);
    }
}

static void buzz_of(struct measures *m, int hand) {
    struct presses p = {.hand = hand};
    struct eh_finding *f =
        verdict_add(m->out, EH_ASPECT_BUZZ, hand < 0 ? EH_SIDE_BOTH : (enum eh_side)hand);
    collect(m, &p);
    struct eh_estimate gap = long_gap(m, &p);
    struct eh_estimate notes = notes_a_press(m, &p);
    find_balance(m, &p);
    find_ends(m, &p);
    struct verdict_call call;
    bool enough = judge_thin(m, &p, f, &notes, &call);
    if (enough && p.spacing_ms <= closable_ms) {
        judge_gaps(m, &p, f, &gap, &call);
    }
    say_buzz(f, &p, &notes, &gap, &call);
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
