/* Accents where none is written: places, or a hand as such, that stick out. */
#include "measure.h"

#include <math.h>
#include <stdio.h>

#include "verdict.h"

enum {
    PLACES = 128,   /* places of a beat and of a bar that are told apart */
    OCCURRENCES = 4 /* below that a place is an event, not a habit */
};

/* A place: a position in the beat (bar 0) or in the bar. */
struct place {
    eh_ticks at;
    bool in_bar;
    size_t n, from;
};

struct places {
    struct place at[PLACES];
    size_t count;
};

struct worst {
    struct eh_estimate e;
    const struct place *place; /* NULL: the hand as such */
};

static bool counts(const struct measures *m, size_t i, int hand) {
    return m->row[i].tap && m->row[i].hand == hand && isfinite(m->level_rest[i]);
}

static size_t find_place(struct places *p, eh_ticks at, bool in_bar) {
    for (size_t k = 0; k < p->count; k++) {
        if (p->at[k].at == at && p->at[k].in_bar == in_bar) {
            return k;
        }
    }
    if (p->count == PLACES) {
        return PLACES;
    }
    p->at[p->count] = (struct place){.at = at, .in_bar = in_bar};
    return p->count++;
}

static eh_ticks place_of(const struct measures *m, size_t i, bool in_bar) {
    eh_ticks at = m->strokes[m->row[i].stroke].in_bar;
    const struct eh_plan_bar *bar = &m->in->plan->bars[m->in->plan->due[i].bar];
    eh_ticks beat = EH_TICKS_PER_QUARTER * 4 / bar->unit;
    return in_bar ? at : at % beat;
}

/* Sorts the rests of HAND's taps by place into OUT. */
static void bucket(struct measures *m, int hand, bool in_bar, struct places *p, double *out) {
    p->count = 0;
    for (size_t i = 0; i < m->count; i++) {
        m->group[i] = PLACES;
        if (counts(m, i, hand)) {
            size_t k = find_place(p, place_of(m, i, in_bar), in_bar);
            m->group[i] = (uint8_t)k;
            p->at[k < PLACES ? k : 0].n += k < PLACES;
        }
    }
    size_t from = 0;
    for (size_t k = 0; k < p->count; k++) {
        p->at[k].from = from;
        from += p->at[k].n;
        p->at[k].n = 0;
    }
    for (size_t i = 0; i < m->count; i++) {
        if (m->group[i] < PLACES) {
            struct place *place = &p->at[m->group[i]];
            out[place->from + place->n++] = m->level_rest[i];
        }
    }
}

/* Centre and interval of a bucket; WIDER is the normal quantile for the number of places looked at.
 * The taps' common spread serves all: a bucket of four knows too little of its own. */
static struct eh_estimate centre_of(double *v, size_t n, double spread, double wider) {
    struct eh_estimate e = eh_location(v, n, MEASURE_CONFIDENCE);
    double half = wider * 1.05 * spread / sqrt((double)n);
    e.low = e.value - half;
    e.high = e.value + half;
    e.n = n;
    return e;
}

static bool worse(const struct eh_estimate *a, const struct eh_estimate *b, double limit) {
    if (!isfinite(b->value)) {
        return isfinite(a->value);
    }
    if (a->low > limit || b->low > limit) {
        return a->low > b->low;
    }
    return a->value > b->value;
}

static size_t eligible(const struct places *p) {
    size_t n = 0;
    for (size_t k = 0; k < p->count; k++) {
        n += p->at[k].n >= OCCURRENCES;
    }
    return n;
}

static double quantile_for(size_t looks) {
    double tail = (1.0 - MEASURE_CONFIDENCE) / 2.0 / (double)(looks > 0 ? looks : 1);
    return eh_normal_quantile(1.0 - tail);
}

static void look_at_places(struct measures *m, const struct places *p, double *v, double wider,
                           double limit, struct worst *worst) {
    for (size_t k = 0; k < p->count; k++) {
        if (p->at[k].n < OCCURRENCES) {
            continue;
        }
        struct eh_estimate e = centre_of(v + p->at[k].from, p->at[k].n, m->tap_spread, wider);
        if (worse(&e, &worst->e, limit)) {
            *worst = (struct worst){e, &p->at[k]};
        }
    }
}

/* The hand as such: half of what it stands above the other hand is what it stands above the taps
 * around, which are both hands'. */
static void look_at_hand(const struct measures *m, int hand, double wider, double limit,
                         struct worst *worst) {
    const struct eh_estimate *d = &m->hand_level;
    if (!isfinite(d->value)) {
        return;
    }
    double value = (hand == 0 ? d->value : -d->value) / 2.0;
    double half = (d->high - d->low) / 4.0 * wider / quantile_for(1);
    struct eh_estimate e = {value, value - half, value + half, m->census.taps[hand]};
    if (worse(&e, &worst->e, limit)) {
        *worst = (struct worst){e, NULL};
    }
}

static void note_places(struct measures *m, int hand, const struct place *place) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (counts(m, i, hand) && (place == NULL || place_of(m, i, place->in_bar) == place->at)) {
            measure_bars_note(m, i, m->level_rest[i]);
        }
    }
}

/* "beat 2 1/4", "1/2 of the beat": quarters and parts of them. */
static void say_place(struct verdict_words *w, const struct place *p) {
    eh_ticks whole = p->at / EH_TICKS_PER_QUARTER;
    eh_ticks top = p->at % EH_TICKS_PER_QUARTER;
    eh_ticks bottom = EH_TICKS_PER_QUARTER;
    eh_ticks a = bottom;
    eh_ticks b = top;
    while (b != 0) {
        eh_ticks rest = a % b;
        a = b;
        b = rest;
    }
    char text[64];
    if (p->in_bar) {
        (void)snprintf(text, sizeof text, "at quarter %d", (int)whole + 1);
    } else {
        (void)snprintf(text, sizeof text, top == 0 ? "on the beat" : "after the beat by");
    }
    say(w, text);
    if (top != 0) {
        (void)snprintf(text, sizeof text, " %d/%d%s", (int)(top / a), (int)(bottom / a),
                       p->in_bar ? "" : " of a quarter");
        say(w, text);
    }
}

static void say_unmarked(struct eh_finding *f, const struct worst *worst,
                         const struct verdict_call *call) {
    struct verdict_words w = verdict_say(f);
    say_side(&w, "");
    say(&w, "unmarked strokes ");
    if (!isfinite(f->value)) {
        say(&w, "recur too seldom at any place to say whether one sticks out");
        return;
    }
    if (worst->place != NULL) {
        say_place(&w, worst->place);
        say(&w, " ");
    }
    say(&w, f->fault == EH_FAULT_YES ? "stick out by " : "stand at most ");
    say_number(&w, f->value, 1);
    say(&w, " dB over those around, where ");
    say_range(&w, NAN, f->limit_high, 1, "dB");
    say(&w, " passes");
    say_basis(&w, "stroke", "strokes");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "dB");
    }
}

static struct worst find_worst(struct measures *m, int hand, double limit, struct places *beat,
                               struct places *bar) {
    struct worst worst = {.e = {NAN, NAN, NAN, 0}};
    bucket(m, hand, false, beat, m->a);
    bucket(m, hand, true, bar, m->b);
    double wider = quantile_for(eligible(beat) + eligible(bar) + 1);
    look_at_hand(m, hand, wider, limit, &worst);
    look_at_places(m, beat, m->a, wider, limit, &worst);
    look_at_places(m, bar, m->b, wider, limit, &worst);
    return worst;
}

static void unmarked_of(struct measures *m, int hand) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_UNMARKED_ACCENT, (enum eh_side)hand);
    struct places beat;
    struct places bar;
    double limit = fmax(m->style->unmarked_accent_db, LIMEN_DB);
    struct worst worst = find_worst(m, hand, limit, &beat, &bar);
    struct verdict_call call = verdict_place(&worst.e, NAN, limit, OCCURRENCES);
    verdict_numbers(f, &worst.e, NAN, limit, "dB");
    if (call.place == PLACE_INSIDE || call.reason == REASON_WIDE) {
        verdict_fine(f, EH_VERDICT_NONE);
    } else if (call.place == PLACE_ABOVE) {
        verdict_fault(f, EH_VERDICT_STICKS_OUT, EH_DIRECTION_NONE);
        note_places(m, hand, worst.place);
        measure_bars_give(m, worst.place == NULL ? LIMEN_DB : limit, f);
    }
    say_unmarked(f, &worst, &call);
}

/* Fewer than eight unmarked strokes of a hand show nothing. */
void measure_unmarked_accent(struct measures *m) {
    enum { LEAST = 8 };
    for (int hand = 0; hand < 2; hand++) {
        if (m->census.taps[hand] >= LEAST) {
            unmarked_of(m, hand);
        }
    }
}
