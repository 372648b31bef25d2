/* What is true of a player, in the terms of the judge's findings. */
#include <math.h>

#include "faults.h"
#include "perform.h"

struct contents {
    size_t accents, doubles, hairpins, flams, drags;
    bool halves; /* every double's second stroke is written in the middle of its span */
};

static struct contents look(const struct written *w) {
    struct contents c = {.halves = true};
    for (size_t i = 0; i < w->plan.due_count; i++) {
        const struct eh_stroke *s = written_stroke(w, i);
        c.accents += s->accent > 0;
        c.doubles += s->kind == EH_KIND_SECOND;
        c.hairpins += s->hairpin >= 0;
        c.flams += s->grace_count == 1;
        c.drags += s->grace_count > 1;
        const size_t next = written_next_main(w, i);
        const size_t after = written_next_main(w, next);
        if (s->kind == EH_KIND_FIRST && after < w->plan.due_count) {
            const eh_ticks gap = w->plan.due[next].at - w->plan.due[i].at;
            c.halves = c.halves && w->plan.due[after].at - w->plan.due[i].at == 2 * gap;
        }
    }
    return c;
}

static double by_hand(const double value[2], enum eh_side side) {
    if (side == EH_SIDE_BOTH) {
        return 0.5 * (value[0] + value[1]);
    }
    return value[side == EH_SIDE_LEFT ? EH_HAND_LEFT : EH_HAND_RIGHT];
}

/* Main note less grace note: the other hand plays the grace note. */
static double softness(const struct player *p, enum eh_side side) {
    const double soft[2] = {p->soft_db[0] + p->hand_db[0] - p->hand_db[1],
                            p->soft_db[1] + p->hand_db[1] - p->hand_db[0]};
    return by_hand(soft, side);
}

static double of_doubles(const struct player *p, const struct contents *c, enum eh_aspect aspect,
                         enum eh_side side) {
    const int hand = side == EH_SIDE_LEFT ? 0 : 1;
    if (aspect == EH_ASPECT_DIDDLE_LEVEL) {
        return p->second_db[hand];
    }
    return c->halves && p->second_share_sd[hand] == 0.0 ? 0.5 + p->second_share[hand] : NAN;
}

/* Where drags must close up there is no one gap any more. */
static double gap_of(const struct player *p, const struct written *w, bool drags,
                     enum eh_side side) {
    const double gap = by_hand(drags ? p->drag_ms : p->flam_ms, side);
    const bool close = drags && 2.0 * 1.5 * gap > 0.55 * w->nearest_ms;
    return close ? NAN : gap;
}

double fault_truth(const struct player *player, const struct written *w, enum eh_aspect aspect,
                   enum eh_side side) {
    const struct contents c = look(w);
    switch (aspect) {
    case EH_ASPECT_DIDDLE_SPACING:
    case EH_ASPECT_DIDDLE_LEVEL:
        return of_doubles(player, &c, aspect, side);
    case EH_ASPECT_ACCENT:
        return by_hand(player->lift_db, side);
    case EH_ASPECT_FLAM_GAP:
        return gap_of(player, w, c.drags > c.flams, side);
    case EH_ASPECT_GRACE_LEVEL:
        /* An accent on the main note would be added to it. */
        return c.accents > 0 ? NAN : softness(player, side);
    case EH_ASPECT_HAND_LEVEL:
        return player->hand_db[0] - player->hand_db[1];
    case EH_ASPECT_HAND_TIMING:
        /* After an accent the next stroke, mostly the other hand's, is late. */
        return c.accents > 0 ? NAN
                             : player->hand_late_ms[0] - player->hand_late_ms[1] +
                                   player->fault_late_ms[0] - player->fault_late_ms[1];
    case EH_ASPECT_TEMPO:
        return player->end_percent;
    case EH_ASPECT_TAP_LEVEL:
        return c.flams + c.drags + c.doubles > 0 ? NAN : player->tap_sd;
    case EH_ASPECT_DYNAMICS:
        return c.hairpins > 0 || player->passage_db != 0.0 ? NAN : player->mark_db;
    case EH_ASPECT_HAIRPIN:
        return player->hairpin_db;
    default:
        return NAN;
    }
}
