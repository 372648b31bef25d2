#include "perform.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void blows_add(struct blows *blows, struct blow blow) {
    if (blows->count == blows->capacity) {
        blows->capacity = blows->capacity * 2 + 256;
        struct blow *row = realloc(blows->row, blows->capacity * sizeof *row);
        if (row == NULL) {
            (void)fprintf(stderr, "no memory for %zu hits\n", blows->capacity);
            abort();
        }
        blows->row = row;
    }
    blows->row[blows->count++] = blow;
}

void blows_free(struct blows *blows) {
    free(blows->row);
    free(blows->at);
    free(blows->fate);
    free(blows->known);
    free(blows->error);
    free(blows->level);
    free(blows->level_sd);
    memset(blows, 0, sizeof *blows);
}

static double *room_for(double *old, size_t count) {
    free(old);
    double *row = malloc(count * sizeof *row);
    if (row == NULL) {
        (void)fprintf(stderr, "no memory for %zu strokes\n", count);
        abort();
    }
    return row;
}

void perform_room(struct blows *blows, size_t count) {
    blows->intent_count = count;
    if (count > blows->intent_capacity) {
        blows->at = room_for(blows->at, count);
        blows->known = room_for(blows->known, count);
        blows->error = room_for(blows->error, count);
        blows->level = room_for(blows->level, count);
        blows->level_sd = room_for(blows->level_sd, count);
        free(blows->fate);
        blows->fate = malloc(count);
        blows->intent_capacity = count;
        if (blows->fate == NULL) {
            (void)fprintf(stderr, "no memory for %zu strokes\n", count);
            abort();
        }
    }
}

/* ---- Levels ---- */

static double mean_level(const struct player *p, const struct intent *s) {
    const double mark = s->hairpin >= 0 ? p->hairpin_db : p->mark_db;
    /* Inside a hairpin the level moves from the mark before it. */
    const double from = s->hairpin >= 0 ? s->dynamic : s->step / 1000.0;
    double level = p->base_db + p->mark_db * (from - 4.0) + mark * (s->step / 1000.0 - from);
    level += p->hand_db[s->hand];
    level += s->played_bar == p->passage_bar ? p->passage_db : 0.0;
    if (s->accent > 0) {
        return level + p->lift_db[s->hand];
    }
    if (p->loud_db != 0.0 && s->kind != EH_KIND_GRACE &&
        s->in_bar % EH_TICKS_PER_QUARTER == p->loud_place) {
        level += p->loud_db;
    }
    return level;
}

static double level_of(const struct player *p, const struct intent *s, double first_level,
                       struct chance *chance) {
    const double noise = chance_normal(chance);
    if (s->kind == EH_KIND_SECOND) {
        return first_level + p->second_db[s->hand] + p->second_db_sd[s->hand] * noise;
    }
    return mean_level(p, s) + (s->accent > 0 ? p->accent_sd : p->tap_sd) * noise;
}

/* What level_of draws about, and grace notes. */
static void tell_level(const struct player *p, const struct intent *s, double first_level,
                       double *level, double *sd) {
    if (s->kind == EH_KIND_SECOND) {
        *level = first_level + p->second_db[s->hand];
        *sd = p->second_db_sd[s->hand];
    } else if (s->kind == EH_KIND_GRACE) {
        *level = mean_level(p, s) - p->soft_db[1 - s->hand];
        *sd = p->soft_sd;
    } else {
        *level = mean_level(p, s);
        *sd = s->accent > 0 ? p->accent_sd : p->tap_sd;
    }
}

/* A double's second stroke against its first: an accent on the first is not carried on. */
static double carried(const struct player *p, const struct intent *s, double level) {
    return s->accent > 0 ? level - p->lift_db[s->hand] : level;
}

/* ---- Presses ---- */

static int notes_of(const double share[7], struct chance *chance) {
    double x = chance_unit(chance);
    int notes = 1;
    while (notes < 7 && x >= share[notes - 1]) {
        x -= share[notes - 1];
        notes++;
    }
    return notes;
}

/* A press ends about when the other hand's begins. */
static double press_end(const struct blow *press, double next_ms, struct chance *chance) {
    return press->at_ms + (next_ms - press->at_ms) * chance_between(chance, 0.85, 1.15);
}

/* Gaps and steps of isolated presses, bounce by bounce: middle 47, 36, 33, 31 ms with a middle half
 * of about 28 % of that, and -1.1, -1.6, -1.7, -1.5 dB with SD 1. Hands that follow each other
 * faster than 125 ms press tighter; a gapped roll is squeezed until its silence is as long as it
 * should be (or stretched: one published gap in twenty is a quarter longer; beyond that the press
 * has a note more), and loses less from bounce to bounce. */
static void bounce(const struct player *p, int hand, struct blow press, double next_ms,
                   struct chance *chance, struct blows *out) {
    enum { GAPS = 6 };
    static const double gaps[GAPS] = {47, 36, 33, 31, 31, 31};
    static const double steps[GAPS] = {-1.1, -1.6, -1.7, -1.5, -1.5, -1.5};
    static const double most = 1.25; /* times its usual length */
    int notes = notes_of(p->notes_share[hand], chance);
    const double spacing = next_ms - press.at_ms;
    const double end_ms = press_end(&press, next_ms, chance);
    double squeeze = fmin(1.0, spacing / 125.0);
    const bool gapped = p->silence_ms[hand] > 0.0 && notes > 1;
    if (gapped) {
        double length = 0.0;
        for (int k = 0; k + 1 < notes; k++) {
            length += gaps[k];
        }
        const double room =
            spacing - p->silence_ms[hand] - p->silence_sd_ms * chance_normal(chance);
        while (room > most * length && notes <= GAPS) {
            length += gaps[notes++ - 1];
        }
        squeeze = fmin(fmax(room, 14.0 * (notes - 1)) / length, most);
    }
    press.role = press.due >= 0 ? ROLE_BOUNCE : ROLE_FOREIGN;
    for (int k = 0; k + 1 < notes; k++) {
        const double lower = k == 0 ? 0.75 : 0.6;
        const double scatter = fmax(exp(0.22 * chance_normal(chance)), lower);
        press.at_ms += gaps[k] * squeeze * (gapped ? 1.0 : scatter);
        press.level_db += (steps[k] + chance_normal(chance)) * (gapped ? 0.3 : 1.0);
        if (press.at_ms < end_ms) {
            blows_add(out, press);
        }
    }
}

/* ---- All of it ---- */

static int by_time(const void *a, const void *b) {
    const struct blow *x = a;
    const struct blow *y = b;
    if (x->at_ms != y->at_ms) {
        return x->at_ms < y->at_ms ? -1 : 1;
    }
    return (x->due > y->due) - (x->due < y->due);
}

enum { LEFT_OUT = 1, EXTRA_AFTER = 2 };

/* Marks COUNT main strokes, no two of them the same. */
static void mark_some(const struct intents *in, int count, uint8_t mark, struct chance *chance,
                      uint8_t *fate) {
    size_t mains = 0;
    for (size_t i = 0; i < in->count; i++) {
        mains += intent_is_main(&in->row[i]);
    }
    while (count > 0 && (size_t)count < mains) {
        const size_t i = (size_t)chance_pick(chance, 0, (int)in->count - 1);
        if (intent_is_main(&in->row[i]) && (fate[i] & mark) == 0) {
            fate[i] |= mark;
            count--;
        }
    }
}

static void decide(const struct intents *in, const struct player *p, struct chance *chance,
                   uint8_t *fate) {
    memset(fate, 0, in->count);
    for (size_t i = 0; i < in->count; i++) {
        fate[i] |= chance_happens(chance, p->missed) ? LEFT_OUT : 0;
        fate[i] |= chance_happens(chance, p->extra) ? EXTRA_AFTER : 0;
    }
    mark_some(in, p->missed_count, LEFT_OUT, chance, fate);
    mark_some(in, p->extra_count, EXTRA_AFTER, chance, fate);
    /* Whoever leaves a main note out leaves out its grace notes. */
    bool main_left_out = false;
    for (size_t i = in->count; i-- > 0;) {
        if (intent_is_main(&in->row[i])) {
            main_left_out = (fate[i] & LEFT_OUT) != 0;
        } else if (main_left_out) {
            fate[i] |= LEFT_OUT;
        }
    }
}

/* About halfway to the next main stroke, as loud as a tap. */
static void add_extra(const struct intents *in, const struct player *p, size_t i, const double *at,
                      struct chance *chance, struct blows *out) {
    size_t next = i + 1;
    while (next < in->count && !intent_is_main(&in->row[next])) {
        next++;
    }
    const double gap = next < in->count ? at[next] - at[i] : 250.0;
    const double room = fmin(fmax(gap, 8.0), 400.0);
    struct intent tap = in->row[i];
    tap.accent = 0;
    tap.kind = EH_KIND_SINGLE;
    blows_add(out, (struct blow){.at_ms = at[i] + room * chance_between(chance, 0.3, 0.7),
                                 .level_db = level_of(p, &tap, 0.0, chance),
                                 .due = NOT_WRITTEN,
                                 .also = -1,
                                 .role = ROLE_FOREIGN});
}

static void strike(const struct written *w, const struct intents *in, const struct player *p,
                   size_t i, double level, struct chance *chance, struct blows *out) {
    const struct intent *s = &in->row[i];
    const struct blow blow = {.at_ms = out->at[i],
                              .level_db = level,
                              .due = s->due,
                              .also = -1,
                              .role = s->due >= 0 ? ROLE_STROKE : ROLE_FOREIGN,
                              .rim = s->accent > 0 && chance_happens(chance, p->rim),
                              .grace = s->kind == EH_KIND_GRACE};
    blows_add(out, blow);
    if (s->kind == EH_KIND_BUZZ) {
        const double until =
            i + 1 < in->count ? out->at[i + 1] : blow.at_ms + (double)s->length * w->ms_per_tick;
        bounce(p, s->hand, blow, until, chance, out);
    }
}

void perform(const struct written *w, const struct intents *intents, const struct player *player,
             struct chance *chance, struct blows *out) {
    perform_room(out, intents->count);
    out->count = 0;
    perform_times(w, intents, player, chance, out);
    decide(intents, player, chance, out->fate);
    double first_level = player->base_db;
    for (size_t i = 0; i < intents->count; i++) {
        const struct intent *s = &intents->row[i];
        tell_level(player, s, first_level, &out->level[i], &out->level_sd[i]);
        double level = level_of(player, s, first_level, chance);
        if (s->kind == EH_KIND_GRACE) {
            level = mean_level(player, s) - player->soft_db[1 - s->hand] -
                    player->soft_sd * chance_normal(chance);
        } else {
            first_level = carried(player, s, level);
        }
        if ((out->fate[i] & LEFT_OUT) == 0) {
            strike(w, intents, player, i, level, chance, out);
        }
        if ((out->fate[i] & EXTRA_AFTER) != 0 && intent_is_main(s)) {
            add_extra(intents, player, i, out->at, chance, out);
        }
    }
    qsort(out->row, out->count, sizeof *out->row, by_time);
}
