#include "player.h"

#include <math.h>
#include <string.h>

const char *player_name(enum player_kind kind) {
    return kind == PLAYER_PROFESSIONAL ? "professional" : "learner";
}

/* Reported notes of isolated presses: 3, 4, 5, 6 and more: 54, 31, 10, 4 % (n 1639). */
static const double natural_notes[7] = {0, 0, 0.545, 0.31, 0.10, 0.045, 0};

static void draw_time(struct player *p, double wide, struct chance *chance) {
    /* Drummers' medians against the click lie from -39 to +20 ms, runs from -38 on; a pad's or a
     * sound card's delay is in it as well. */
    p->offset_ms = chance_between(chance, -38.0, 39.0);
    const double one = exp(chance_within(chance, 0.0, 0.12, 0.25)) * wide;
    /* Together they give the published spread against the click (11.4 ms in the middle run), after
     * a line and the hands are taken out (9.3), between strokes (11 ms), and the correlations. */
    p->own_ms = 6.8 * one;
    p->wander_ms = 12.5 * one;
    p->keep = 0.89;
    const double apart = chance_within(chance, 0.0, 1.2 * wide, 2.5 * wide);
    p->hand_late_ms[0] = 0.5 * apart;
    p->hand_late_ms[1] = -0.5 * apart;
    p->accent_drag = 0.021;
    p->end_percent = chance_within(chance, 0.0, 0.5 * wide, 1.0 * wide);
}

static void draw_doubles(struct player *p, double wide, struct chance *chance) {
    p->second_ms = 7.0 * exp(chance_within(chance, 0.0, 0.12, 0.25)) * wide;
    for (int hand = 0; hand < 2; hand++) {
        p->second_share[hand] = chance_within(chance, 0.0, 0.007, 0.014);
        p->second_db[hand] = chance_within(chance, -0.8, 0.5, 1.0);
        p->second_db_sd[hand] = 1.6 * wide;
    }
}

static void draw_levels(struct player *p, double wide, double low, double high,
                        struct chance *chance) {
    p->base_db = -10.0; /* velocity 40, the middle tap */
    p->mark_db = 3.0 * exp(chance_within(chance, 0.0, 0.1, 0.2));
    p->hairpin_db = p->mark_db;
    /* The middle half of passages with accents: 7.2 to 9.6 dB; a concert player is taken to stand
     * in the middle of what the style asks for, since no concert playing has been measured. */
    const double middle = high > 8.0 ? 8.2 : 0.5 * (low + high);
    const double room = fmin(middle - low, high - middle);
    p->lift_db[0] = p->lift_db[1] = chance_within(chance, middle, room / 4.0, room / 2.0);
    p->tap_sd = 1.5 * exp(chance_within(chance, 0.0, 0.15, 0.3)) * wide;
    p->accent_sd = 0.9 * wide;
    const double apart = chance_within(chance, 0.0, 0.6 * wide, 1.2 * wide);
    p->hand_db[0] = 0.5 * apart;
    p->hand_db[1] = -0.5 * apart;
}

static void draw_graces(struct player *p, double wide, struct chance *chance) {
    p->flam_ms[0] = p->flam_ms[1] = 24.0 * exp(chance_within(chance, 0.0, 0.08, 0.16));
    p->flam_log_sd = 0.39 * wide;
    p->drag_ms[0] = p->drag_ms[1] = 54.0 * exp(chance_within(chance, 0.0, 0.08, 0.16));
    p->drag_log_sd = 0.25 * wide;
    p->soft_db[0] = p->soft_db[1] = chance_within(chance, 5.7, 0.6, 1.2);
    p->soft_sd = 2.2 * wide;
}

void player_draw(struct player *out, enum player_kind kind, const struct written *w,
                 double accent_low_db, double accent_high_db, struct chance *chance) {
    memset(out, 0, sizeof *out);
    const double wide = kind == PLAYER_LEARNER ? chance_between(chance, 1.3, 1.6) : 1.0;
    draw_time(out, wide, chance);
    draw_doubles(out, wide, chance);
    draw_levels(out, wide, accent_low_db, accent_high_db, chance);
    draw_graces(out, wide, chance);
    for (int hand = 0; hand < 2; hand++) {
        memcpy(out->notes_share[hand], natural_notes, sizeof natural_notes);
    }
    /* Not published; a little is always left out or added. */
    out->missed = out->extra = kind == PLAYER_LEARNER ? 0.004 : 0.001;
    player_make_room(out, w);
}

static double loudest_of(const struct player *p, const struct eh_stroke *s) {
    const int hand = s->hand;
    const double mark = s->hairpin >= 0 ? p->hairpin_db : p->mark_db;
    const double level = mark * (s->step_milli / 1000.0 - 4.0) + p->hand_db[hand];
    const double second = s->kind == EH_KIND_SECOND ? fmax(p->second_db[hand], 0.0) : 0.0;
    const double up = s->accent > 0 ? p->lift_db[hand] : fmax(p->loud_db, 0.0);
    return level + second + up + fmax(-p->soft_db[hand], 0.0) + fmax(p->passage_db, 0.0);
}

void player_make_room(struct player *player, const struct written *w) {
    static const double top_db = -1.5;
    double most = -INFINITY;
    for (size_t i = 0; i < w->plan.due_count; i++) {
        const struct eh_stroke *s = written_stroke(w, i);
        const double sd = s->accent > 0 ? player->accent_sd : fmin(player->tap_sd, 3.0);
        most = fmax(most, loudest_of(player, s) + 2.0 * sd);
    }
    player->base_db = fmin(-10.0, top_db - most);
}

double player_notes(const struct player *player, int hand) {
    double mean = 0.0;
    for (int i = 0; i < 7; i++) {
        mean += player->notes_share[hand][i] * (i + 1);
    }
    return mean;
}

void player_set_notes(struct player *player, int hand, double mean) {
    memset(player->notes_share[hand], 0, sizeof player->notes_share[hand]);
    const double kept = fmin(fmax(mean, 1.0), 6.999);
    const int whole = (int)kept;
    player->notes_share[hand][whole - 1] = 1.0 - (kept - whole);
    player->notes_share[hand][whole] = kept - whole;
}
