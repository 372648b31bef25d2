/* Accents where none is written: places, or a hand as such, that stick out. */
#include "measure.h"

#include <math.h>
#include <stdio.h>

#include "verdict.h"

enum {
    PLACES = 128,   /* places of a beat and of a bar that are told apart */
    OCCURRENCES = 4 /* below that a place is an event, not a habit */
};

/* A place: a position in the beat or in the bar. */
struct place {
    eh_ticks at;
    size_t n, from;
    double centre;
};

/* The places of one hand. */
struct places {
    struct place at[PLACES];
    uint8_t order[PLACES]; /* their numbers, softest centre first */
    size_t count, latest;
    bool in_bar;
};

struct worst {
    struct eh_estimate e;
    eh_ticks at;
    bool is_place, in_bar; /* no place: the hand as such */
};

static bool counts(const struct measures *m, size_t i, int hand) {
    return m->row[i].tap && m->row[i].hand == hand && isfinite(m->level_rest[i]);
}

/* Places come round in order, so the search goes on where it last stopped. */
static size_t find_place(struct places *p, eh_ticks at) {
    for (size_t tries = 0; tries < p->count; tries++) {
        p->latest = p->latest + 1 < p->count ? p->latest + 1 : 0;
        if (p->at[p->latest].at == at) {
            return p->latest;
        }
    }
    if (p->count == PLACES) {
        return PLACES;
    }
    p->at[p->count] = (struct place){.at = at};
    p->latest = p->count;
    return p->count++;
}

static eh_ticks place_of(const struct measures *m, size_t i, bool in_bar) {
    eh_ticks at = m->strokes[m->row[i].stroke].in_bar;
    const struct eh_plan_bar *bar = &m->in->plan->bars[m->in->plan->due[i].bar];
    eh_ticks beat = EH_TICKS_PER_QUARTER * 4 / bar->unit;
    return in_bar ? at : at % beat;
}

static void make_room(struct places *p) {
    size_t from = 0;
    for (size_t k = 0; k < p->count; k++) {
        p->at[k].from = from;
        from += p->at[k].n;
        p->at[k].n = 0;
    }
}

/* Sorts the rests of HAND's taps by place into OUT and finds each place's centre. */
static void bucket(struct measures *m, int hand, bool in_bar, struct places *p, double *out) {
    p->count = 0;
    p->latest = 0;
    p->in_bar = in_bar;
    for (size_t i = 0; i < m->count; i++) {
        m->group[i] = PLACES;
        if (counts(m, i, hand)) {
            size_t k = find_place(p, place_of(m, i, in_bar));
            m->group[i] = (uint8_t)k;
            p->at[k < PLACES ? k : 0].n += k < PLACES;
        }
    }
    make_room(p);
    for (size_t i = 0; i < m->count; i++) {
        if (m->group[i] < PLACES) {
            struct place *place = &p->at[m->group[i]];
            out[place->from + place->n++] = m->level_rest[i];
        }
    }
    for (size_t k = 0; k < p->count; k++) {
        p->at[k].centre = eh_median(out + p->at[k].from, p->at[k].n);
        size_t i = k;
        for (; i > 0 && p->at[p->order[i - 1]].centre > p->at[k].centre; i--) {
            p->order[i] = p->order[i - 1];
        }
        p->order[i] = (uint8_t)k;
    }
}

/* The centre of the hand's strokes at all other places: their median by number of strokes, so that
 * a second place that sticks out does not count. Where they split evenly it is the mean of the
 * middle two: with one place loud and one soft nobody can say which is the odd one. */
static double centre_elsewhere(const struct places *p, size_t place, size_t *out_n) {
    size_t all = 0;
    for (size_t k = 0; k < p->count; k++) {
        all += p->at[k].n;
    }
    all -= p->at[place].n;
    *out_n = all;
    double low = NAN;
    size_t upto = 0;
    for (size_t i = 0; i < p->count; i++) {
        const struct place *at = &p->at[p->order[i]];
        upto += p->order[i] != place ? at->n : 0;
        if (p->order[i] != place && 2 * upto >= all) {
            low = isnan(low) ? at->centre : low;
            if (2 * upto > all) {
                return 0.5 * (low + at->centre);
            }
        }
    }
    return NAN;
}

/* How far a place stands above the hand's others, and the error of that. The taps' common spread
 * serves all: four strokes know too little of theirs. */
struct look {
    double value, error;
    size_t n;
};

static struct look excess(const struct places *p, size_t place, double spread) {
    size_t others = 0;
    double value = p->at[place].centre - centre_elsewhere(p, place, &others);
    double n = (double)p->at[place].n;
    /* 1.2533: a median's error over a mean's on normal data. */
    double error = 1.2533 * spread * sqrt(1.0 / n + 1.0 / (double)others);
    return (struct look){value, error, p->at[place].n};
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

/* The spread of HAND's strokes about their places' centres, as bucketed in V. */
static double spread_within(const struct places *p, double *v) {
    size_t n = 0;
    for (size_t k = 0; k < p->count; k++) {
        for (size_t i = 0; i < p->at[k].n; i++) {
            v[n++] -= p->at[k].centre;
        }
    }
    double lost = n > p->count ? sqrt((double)n / (double)(n - p->count)) : 1.0;
    return eh_spread(v, n, MEASURE_CONFIDENCE).value * lost;
}

/* ---- The worst of many ----
 *
 * Who looks at many places and tells of the one that stands out most, tells too much of it. So its
 * interval is that of a reading of which it is known that it came out above the runner-up (a normal
 * distribution cut off there; Lee, Sun, Sun & Taylor 2016, Ann. Stat. 44, 907-927). A place far
 * above the others keeps its plain interval; of several alike the lower end goes far down, but no
 * lower than what holds for all places at once. */

/* P(X >= x) of a normal X with mean MEAN, of which X > CUT is known. */
static double beyond(double x, double cut, double mean, double error) {
    double above = eh_normal_cdf((mean - cut) / error);
    return above > 1e-12 ? eh_normal_cdf((mean - x) / error) / above : 0.0;
}

static double bound_at(const struct look *l, double cut, double share) {
    double low = l->value - 12.0 * l->error;
    double high = l->value + 6.0 * l->error;
    for (int i = 0; i < 50; i++) {
        double middle = low + (high - low) / 2.0;
        if (beyond(l->value, cut, middle, l->error) < share) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

/* What has been looked at: the highest, the runner-up of its kind, and what the whole row surely
 * reaches. */
struct search {
    struct worst worst;
    struct look best;
    double runner_up, surely;
};

static void offer(struct search *s, const struct look *l, const struct worst *where, double wider) {
    if (!isfinite(l->value) || !(l->error > 0.0 || l->error == 0.0)) {
        return;
    }
    double surely = l->value - wider * l->error;
    if (!(surely <= s->surely)) {
        s->surely = surely;
    }
    if (!isfinite(s->best.value) || l->value > s->best.value) {
        bool alike = where->is_place == s->worst.is_place && where->in_bar == s->worst.in_bar;
        s->runner_up = alike ? s->best.value : NAN;
        s->best = *l;
        s->worst = *where;
    } else if (where->is_place == s->worst.is_place && where->in_bar == s->worst.in_bar &&
               !(l->value <= s->runner_up)) {
        s->runner_up = l->value;
    }
}

static void look_at_places(const struct places *p, double spread, double wider,
                           struct search *search) {
    for (size_t k = 0; k < p->count && p->count > 1; k++) {
        if (p->at[k].n >= OCCURRENCES) {
            struct look look = excess(p, k, spread);
            struct worst where = {.at = p->at[k].at, .is_place = true, .in_bar = p->in_bar};
            offer(search, &look, &where, wider);
        }
    }
}

/* The hand as such: half of what it stands above the other hand is what it stands above the taps
 * around, which are both hands'. */
static void look_at_hand(const struct measures *m, int hand, double wider, struct search *search) {
    const struct eh_estimate *d = &m->hand_level;
    if (isfinite(d->value)) {
        struct look look = {(hand == 0 ? d->value : -d->value) / 2.0,
                            (d->high - d->low) / 4.0 / quantile_for(1), m->census.taps[hand]};
        struct worst where = {.is_place = false};
        offer(search, &look, &where, wider);
    }
}

static void conclude(struct search *s) {
    const struct look *l = &s->best;
    struct eh_estimate *e = &s->worst.e;
    double cut = isfinite(s->runner_up) ? s->runner_up : -INFINITY;
    *e = (struct eh_estimate){l->value, l->value, l->value, l->n};
    if (l->error > 0.0) {
        e->low = fmax(bound_at(l, cut, 0.05), fmin(s->surely, l->value));
        e->high = bound_at(l, cut, 0.95);
        e->high = fmax(e->high, l->value);
    }
}

static bool stands_at(const struct measures *m, size_t i, int hand, const struct worst *w) {
    return counts(m, i, hand) && (!w->is_place || place_of(m, i, w->in_bar) == w->at);
}

static void note_places(struct measures *m, int hand, const struct worst *worst) {
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (stands_at(m, i, hand, worst)) {
            measure_bars_note(m, i, m->level_rest[i]);
        }
    }
}

/* An accent that is not written is no tap: taken out, so that it does not pass for a loud hand. */
static void drop_taps(struct measures *m, int hand, const struct worst *worst) {
    for (size_t i = 0; i < m->count; i++) {
        if (worst->is_place && stands_at(m, i, hand, worst)) {
            m->row[i].tap = false;
        }
    }
}

/* "on quarter 2 1/4", "1/2 of a quarter after the beat". */
static void say_place(struct verdict_words *w, const struct worst *p) {
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
    char text[64] = "";
    if (p->in_bar) {
        (void)snprintf(text, sizeof text, "on quarter %d", (int)whole + 1);
        say(w, text);
    }
    if (top != 0) {
        (void)snprintf(text, sizeof text,
                       p->in_bar ? " %d/%d" : "%d/%d of a quarter after the beat", (int)(top / a),
                       (int)(bottom / a));
        say(w, text);
    } else if (!p->in_bar) {
        say(w, "on the beat");
    }
}

static void say_unmarked(const struct measures *m, struct eh_finding *f, const struct worst *worst,
                         const struct verdict_call *call) {
    struct verdict_words w = verdict_say(f);
    say_side(&w, "");
    say(&w, "unmarked strokes ");
    if (!isfinite(f->value)) {
        say(&w, "recur too seldom at any place to say whether one sticks out");
        return;
    }
    if (f->fault == EH_FAULT_NO) {
        say(&w, "do not stick out: at most ");
    } else {
        say(&w, worst->is_place ? "" : "as a whole ");
        if (worst->is_place) {
            say_place(&w, worst);
            say(&w, " ");
        }
        say(&w, "stick out by ");
    }
    say_number(&w, f->value, 1);
    say(&w,
        worst->is_place ? " dB over the hand's others, where " : " dB over both hands', where ");
    say_range(&w, NAN, f->limit_high, 1, "dB");
    say(&w, " passes");
    say_basis(&w, "stroke", "strokes");
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, call->reason, 1, "dB");
    }
    say_pad(&w, m->in->pad);
}

static struct worst find_worst(struct measures *m, int hand) {
    struct search search = {.worst = {.e = {NAN, NAN, NAN, 0}},
                            .best = {.value = NAN},
                            .runner_up = NAN,
                            .surely = NAN};
    struct places beat;
    struct places bar;
    bucket(m, hand, false, &beat, m->a);
    bucket(m, hand, true, &bar, m->b);
    double wider = quantile_for(eligible(&beat) + eligible(&bar) + 1);
    double spread = spread_within(&beat, m->a);
    look_at_hand(m, hand, wider, &search);
    look_at_places(&beat, spread, wider, &search);
    look_at_places(&bar, spread, wider, &search);
    if (isfinite(search.best.value)) {
        conclude(&search);
    }
    return search.worst;
}

static bool unmarked_of(struct measures *m, int hand) {
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_UNMARKED_ACCENT, (enum eh_side)hand);
    double limit = fmax(m->style->unmarked_accent_db, LIMEN_DB);
    struct worst worst = find_worst(m, hand);
    worst.e = measure_widen_scale(m, worst.e);
    struct verdict_call call = verdict_place(&worst.e, NAN, limit, OCCURRENCES);
    verdict_numbers(f, &worst.e, NAN, limit, "dB");
    bool found = call.place == PLACE_ABOVE;
    if (call.place == PLACE_INSIDE || call.reason == REASON_WIDE) {
        verdict_fine(f, EH_VERDICT_NONE);
    } else if (found) {
        verdict_fault(f, EH_VERDICT_STICKS_OUT, EH_DIRECTION_NONE);
        note_places(m, hand, &worst);
        measure_bars_give(m, LIMEN_DB, f);
        drop_taps(m, hand, &worst);
    }
    say_unmarked(m, f, &worst, &call);
    return found && worst.is_place;
}

/* Fewer than eight unmarked strokes of a hand show nothing. */
void measure_unmarked_accent(struct measures *m) {
    enum { LEAST = 8 };
    bool dropped = false;
    for (int hand = 0; hand < 2; hand++) {
        if (m->census.taps[hand] >= LEAST) {
            dropped = unmarked_of(m, hand) || dropped;
        }
    }
    if (dropped) {
        measure_level_trend(m);
    }
}
