/* Accents: how far they stand above the taps around them. */
#include "measure.h"

#include <math.h>

#include "verdict.h"

struct accents {
    int hand;      /* 0, 1, or -1 both */
    uint8_t level; /* 1 accents, 2 strong accents */
    size_t n, topped;
};

static bool wanted(const struct measures *m, const struct accents *a, size_t i) {
    const struct measure_stroke *r = &m->row[i];
    return r->main && r->accent == a->level && (a->hand < 0 || r->hand == a->hand) &&
           r->kind != EH_KIND_SECOND && isfinite(m->level_rest[i]);
}

/* Lifts of the accents to A, rests of all taps to B; returns how many taps. */
static size_t lifts(struct measures *m, struct accents *a) {
    size_t taps = 0;
    a->n = 0;
    a->topped = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (m->row[i].tap && m->row[i].matched) {
            m->b[taps++] = m->level_rest[i];
        } else if (wanted(m, a, i)) {
            m->a[a->n++] = m->level_rest[i];
            a->topped += m->row[i].saturated;
        }
    }
    return taps;
}

static void note_lifts(struct measures *m, const struct accents *a, double sign) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (wanted(m, a, i)) {
            measure_bars_note(m, i, sign * m->level_rest[i]);
        }
    }
}

static void say_size(struct verdict_words *w, double db) {
    say_number(w, fabs(db), 1);
    say(w, " dB (about ");
    say_number(w, fabs(db) / EH_MARK_DB, 1);
    say(w, " dynamic marks)");
}

/* The limits in marks too: a teacher thinks in them. */
static void say_wish(struct verdict_words *w, const struct measures *m) {
    double low = w->finding->limit_low;
    double high = w->finding->limit_high;
    say(w, ", where ");
    say_range(w, low, high, 1, "dB");
    say(w, " (");
    say_number(w, low / EH_MARK_DB, 1);
    say(w, " to ");
    say_number(w, high / EH_MARK_DB, 1);
    say(w, " marks) is right in ");
    say(w, m->style->name);
    say(w, " style");
}

static void say_accent(const struct measures *m, struct eh_finding *f,
                       const struct verdict_call *call, bool topped) {
    struct verdict_words w = verdict_say(f);
    say_side(&w, "");
    if (!isfinite(f->value)) {
        say(&w, "accents: none was heard with unmarked strokes around it");
        return;
    }
    say(&w, f->verdict == EH_VERDICT_OVERBLOWN ? "accents are overblown: "
            : f->verdict == EH_VERDICT_UNDER   ? "accents stay under: "
                                               : "accents stand ");
    say(&w, !topped ? "" : f->value < 0.0 ? "at most " : "at least ");
    say_size(&w, f->value);
    say(&w, f->value < 0.0 ? " below the taps around" : " above the taps around");
    say_wish(&w, m);
    say_basis(&w, "accent", "accents");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "dB");
    }
    say_pad(&w, m->in->pad);
}

/* Over half of the accents at the pad's top: they stand out at least as far as measured. That is
 * said of few ones too: playing longer would not help. */
static struct verdict_call call_lift(const struct measures *m, const struct accents *a,
                                     const struct eh_estimate *e, double low, double high) {
    struct eh_estimate counted = *e;
    counted.n = a->n;
    struct verdict_call call = verdict_place(&counted, low, high, m->style->least_n);
    if (2 * a->topped > a->n && call.place != PLACE_ABOVE) {
        call = (struct verdict_call){PLACE_UNKNOWN, REASON_SATURATED};
    }
    return call;
}

static void judge_accents(struct measures *m, struct accents *a) {
    enum eh_side side = a->hand < 0 ? EH_SIDE_BOTH : (enum eh_side)a->hand;
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_ACCENT, side);
    size_t taps = lifts(m, a);
    struct eh_estimate e = eh_shift(m->a, a->n, m->b, taps, MEASURE_CONFIDENCE);
    e = measure_widen_scale(m, e);
    e.n = a->n;
    double more = a->level > 1 ? EH_MARK_DB : 0.0; /* a strong accent: one mark more */
    double low = m->style->accent_low_db + more;
    double high = m->style->accent_high_db + more;
    struct verdict_call call = call_lift(m, a, &e, low, high);
    verdict_numbers(f, &e, low, high, "dB");
    if (call.place == PLACE_INSIDE) {
        verdict_fine(f, EH_VERDICT_RIGHT_SIZED);
    } else if (call.place != PLACE_UNKNOWN) {
        bool over = call.place == PLACE_ABOVE;
        verdict_fault(f, over ? EH_VERDICT_OVERBLOWN : EH_VERDICT_UNDER, EH_DIRECTION_NONE);
        note_lifts(m, a, over ? 1.0 : -1.0);
        measure_bars_give(m, over ? high : -low, f);
    }
    say_accent(m, f, &call, 2 * a->topped > a->n);
}

/* Plain accents where the exercise has enough of them, else strong ones, whichever are more. */
static uint8_t level_to_judge(const struct measures *m) {
    size_t count[3] = {0};
    for (size_t i = 0; i < m->count; i++) {
        count[m->row[i].accent > 2 ? 2 : m->row[i].accent]++;
    }
    return count[2] > count[1] ? 2 : 1;
}

/* Hand by hand where the exercise (not the playing) has enough accents for both. */
void measure_accent(struct measures *m) {
    const uint32_t *n = m->census.accents;
    if (n[0] + n[1] == 0) {
        return;
    }
    uint8_t level = level_to_judge(m);
    bool apart = n[0] >= m->style->least_n && n[1] >= m->style->least_n;
    for (int hand = 0; hand < (apart ? 2 : 1); hand++) {
        struct accents a = {.hand = apart ? hand : -1, .level = level};
        judge_accents(m, &a);
    }
}
