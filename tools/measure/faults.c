#include "faults.h"

#include <math.h>
#include <stdlib.h>

enum { LEFT = EH_HAND_LEFT, RIGHT = EH_HAND_RIGHT };

/* ---- Doubles ---- */

static double spacing_tolerance(const struct eh_style *style, const struct written *w) {
    return fmax(style->diddle_spacing_share, style->diddle_spacing_ms / (2.0 * w->nearest_ms));
}

static bool put_share(struct player *p, const struct eh_style *style, const struct written *w,
                      int hand, double size) {
    p->second_share[hand] = size * spacing_tolerance(style, w);
    return fabs(p->second_share[hand]) < 0.4;
}

static bool late_left(struct player *p, const struct eh_style *style, const struct written *w,
                      double size) {
    return put_share(p, style, w, LEFT, size);
}

static bool late_right(struct player *p, const struct eh_style *style, const struct written *w,
                       double size) {
    return put_share(p, style, w, RIGHT, size);
}

static bool early_left(struct player *p, const struct eh_style *style, const struct written *w,
                       double size) {
    return put_share(p, style, w, LEFT, -size);
}

static bool early_right(struct player *p, const struct eh_style *style, const struct written *w,
                        double size) {
    return put_share(p, style, w, RIGHT, -size);
}

static bool scattered_left(struct player *p, const struct eh_style *style, const struct written *w,
                           double size) {
    (void)w;
    p->second_share_sd[LEFT] = size * style->diddle_scatter_share;
    return size <= 2.0; /* beyond that every place in the span is as likely */
}

static bool weak_left(struct player *p, const struct eh_style *style, const struct written *w,
                      double size) {
    (void)w;
    p->second_db[LEFT] = -size * style->diddle_level_db;
    return true;
}

static bool strong_right(struct player *p, const struct eh_style *style, const struct written *w,
                         double size) {
    (void)w;
    p->second_db[RIGHT] = size * style->diddle_level_db;
    return true;
}

static bool levels_scattered_left(struct player *p, const struct eh_style *style,
                                  const struct written *w, double size) {
    (void)w;
    p->second_db_sd[LEFT] = size * style->diddle_level_scatter_db;
    return size <= 2.0;
}

/* ---- Accents ---- */

static double lift(const struct eh_style *style, double size) {
    const double middle = 0.5 * (style->accent_low_db + style->accent_high_db);
    return middle + size * 0.5 * (style->accent_high_db - style->accent_low_db);
}

static bool under_left(struct player *p, const struct eh_style *style, const struct written *w,
                       double size) {
    (void)w;
    p->lift_db[LEFT] = lift(style, -size);
    return true;
}

static bool overblown_right(struct player *p, const struct eh_style *style, const struct written *w,
                            double size) {
    (void)w;
    p->lift_db[RIGHT] = lift(style, size);
    return true;
}

static bool loud_place(struct player *p, const struct eh_style *style, const struct written *w,
                       double size) {
    (void)w;
    p->loud_place = EH_TICKS_PER_QUARTER / 2;
    p->loud_db = size * style->unmarked_accent_db;
    return true;
}

static bool uneven_taps(struct player *p, const struct eh_style *style, const struct written *w,
                        double size) {
    (void)w;
    p->tap_sd = size * style->tap_level_db;
    return size <= 2.0;
}

static bool rim(struct player *p, const struct eh_style *style, const struct written *w,
                double size) {
    (void)style;
    (void)w;
    p->rim = fmin(0.25 * size, 1.0);
    return true;
}

/* ---- Grace notes ---- */

static bool flat_left(struct player *p, const struct eh_style *style, const struct written *w,
                      double size) {
    (void)w;
    p->flam_ms[LEFT] = style->flam_gap_low_ms / size;
    return true;
}

static bool wide_right(struct player *p, const struct eh_style *style, const struct written *w,
                       double size) {
    p->flam_ms[RIGHT] = size * style->flam_gap_high_ms;
    return p->flam_ms[RIGHT] < 0.6 * w->nearest_ms;
}

static bool wide_drag_right(struct player *p, const struct eh_style *style, const struct written *w,
                            double size) {
    p->drag_ms[RIGHT] = size * style->drag_gap_high_ms;
    return 2.0 * p->drag_ms[RIGHT] < 0.7 * w->nearest_ms;
}

/* The other hand plays the grace note: what one hand is louder than the other is no part of it. */
static bool loud_grace_left(struct player *p, const struct eh_style *style, const struct written *w,
                            double size) {
    (void)w;
    p->hand_db[LEFT] = p->hand_db[RIGHT] = 0.0;
    p->soft_db[LEFT] = (2.0 - size) * style->grace_softer_db;
    return true;
}

/* ---- Presses ---- */

static bool thin_left(struct player *p, const struct eh_style *style, const struct written *w,
                      double size) {
    (void)w;
    player_set_notes(p, LEFT, style->buzz_notes / size);
    return true;
}

/* One gap in ten may be longer than the style's limit. Presses of three notes have two short gaps
 * and the silence, so that on the border three silences in ten are longer: their middle lies 0.524
 * standard deviations below the limit. Of published presses one in twenty has gaps of less than 28
 * and 22 ms: no hand gets three notes into less than 50. Where the hands are further apart than an
 * ordinary press (83 ms) and the limit, nobody asks for a closed sound. Together: a silence of at
 * most limit + 83 - 50 ms, 1.37 times a limit of 90. */
static bool gapped_right(struct player *p, const struct eh_style *style, const struct written *w,
                         double size) {
    p->silence_sd_ms = 9.0; /* a stroke's own scatter, published */
    p->silence_ms[RIGHT] = size * style->buzz_gap_ms - 0.524 * p->silence_sd_ms;
    player_set_notes(p, RIGHT, 3.0);
    return p->silence_ms[RIGHT] + 50.0 < w->nearest_ms && w->nearest_ms < style->buzz_gap_ms + 83.0;
}

/* ---- Hands, time, counts ---- */

static bool put_hand_level(struct player *p, double left_less_right) {
    p->hand_db[LEFT] = 0.5 * left_less_right;
    p->hand_db[RIGHT] = -0.5 * left_less_right;
    return true;
}

static bool left_soft(struct player *p, const struct eh_style *style, const struct written *w,
                      double size) {
    (void)w;
    return put_hand_level(p, -size * style->hand_level_db);
}

static bool right_soft(struct player *p, const struct eh_style *style, const struct written *w,
                       double size) {
    (void)w;
    return put_hand_level(p, size * style->hand_level_db);
}

static bool put_late(struct player *p, const struct eh_style *style, const struct written *w,
                     int hand, double size) {
    p->hand_late_ms[LEFT] = p->hand_late_ms[RIGHT] = 0.0;
    p->fault_late_ms[hand] = size * style->hand_timing_ms;
    return p->fault_late_ms[hand] < 0.4 * w->nearest_ms;
}

static bool left_late(struct player *p, const struct eh_style *style, const struct written *w,
                      double size) {
    return put_late(p, style, w, LEFT, size);
}

static bool right_late(struct player *p, const struct eh_style *style, const struct written *w,
                       double size) {
    return put_late(p, style, w, RIGHT, size);
}

/* A spread is one about the player's own local tempo, a line over eight strokes either side
 * (docs/measures.md, The aspects): of slow wandering most goes with that line. What is left of the
 * wandering's variance at the line's middle, where the line is the strokes' mean: with C the
 * correlation of two strokes, 1 - 2 mean C(middle, j) + mean C(i, j), over what is left of
 * independent errors, 1 - 1/17. */
static double wander_left(const struct player *p) {
    enum { REACH = 8, STROKES = 2 * REACH + 1 };
    double middle = 0.0;
    double all = 0.0;
    for (int i = 0; i < STROKES; i++) {
        middle += pow(p->keep, abs(i - REACH)) / STROKES;
        for (int j = 0; j < STROKES; j++) {
            all += pow(p->keep, abs(i - j)) / (STROKES * STROKES);
        }
    }
    return (1.0 - 2.0 * middle + all) / (1.0 - 1.0 / STROKES);
}

/* Spacing counts up to 250 ms for the limit of the spread (docs/measures.md). Where the wandering
 * alone leaves more, it is all there is. */
static bool unsteady(struct player *p, const struct eh_style *style, const struct written *w,
                     double size) {
    const double spacing = fmin(w->nearest_ms, 250.0);
    const double spread = size * fmax(style->timing_ms, style->timing_share * spacing);
    const double whole = spread / perform_width(w->nearest_ms);
    const double slow = wander_left(p) * p->wander_ms * p->wander_ms;
    p->own_ms = sqrt(fmax(whole * whole - slow, 0.0));
    return spread < 0.28 * w->nearest_ms; /* more would change the strokes' order */
}

static bool rushing(struct player *p, const struct eh_style *style, const struct written *w,
                    double size) {
    (void)w;
    p->end_percent = size * style->drift_percent;
    return true;
}

static bool dragging(struct player *p, const struct eh_style *style, const struct written *w,
                     double size) {
    (void)w;
    p->end_percent = -size * style->drift_percent;
    return true;
}

/* The limit is a share of the strokes, rounded up. */
static int counted(const struct written *w, double share, double size) {
    return (int)ceil(size * ceil(share * (double)w->plan.due_count));
}

static bool missing(struct player *p, const struct eh_style *style, const struct written *w,
                    double size) {
    p->missed = 0.0;
    p->missed_count = counted(w, style->missed_share, size);
    return true;
}

static bool added(struct player *p, const struct eh_style *style, const struct written *w,
                  double size) {
    p->extra = 0.0;
    p->extra_count = counted(w, style->extra_share, size);
    return w->nearest_ms >= 60.0;
}

/* ---- Dynamics ---- */

static bool narrow(struct player *p, const struct eh_style *style, const struct written *w,
                   double size) {
    (void)w;
    p->mark_db = (2.0 - size) * style->contrast_db;
    return true;
}

static bool passage_soft(struct player *p, const struct eh_style *style, const struct written *w,
                         double size) {
    p->passage_bar = 1; /* the first in forte */
    p->passage_db = -size * style->dynamics_db;
    return w->plan.bar_count >= 8; /* three others of its mark at least */
}

static bool hairpin_flat(struct player *p, const struct eh_style *style, const struct written *w,
                         double size) {
    (void)w;
    p->hairpin_db = (2.0 - size) * style->contrast_db;
    return size <= 2.0; /* beyond that it is a reversed one */
}

/* As far the wrong way as the size is beyond one tolerance; at its edge there is no hairpin. */
static bool hairpin_reversed(struct player *p, const struct eh_style *style,
                             const struct written *w, double size) {
    (void)w;
    p->hairpin_db = (1.0 - size) * style->contrast_db;
    return true;
}

#define FINDING(aspect, sides, verdict, direction)                                                 \
    EH_ASPECT_##aspect, sides, EH_VERDICT_##verdict, EH_DIRECTION_##direction
enum { L = SIDE_LEFT, R = SIDE_RIGHT, B = SIDE_BOTH };

static const struct fault faults[] = {
    {"seconds-late-left", FINDING(DIDDLE_SPACING, L, UNEVEN, LATE), PATTERN_ROLL, late_left},
    {"seconds-late-right", FINDING(DIDDLE_SPACING, R, UNEVEN, LATE), PATTERN_ROLL, late_right},
    {"seconds-early-left", FINDING(DIDDLE_SPACING, L, UNEVEN, EARLY), PATTERN_ROLL, early_left},
    {"seconds-early-right", FINDING(DIDDLE_SPACING, R, UNEVEN, EARLY), PATTERN_DIDDLES,
     early_right},
    {"seconds-scattered-left", FINDING(DIDDLE_SPACING, L, UNEVEN, SCATTERED), PATTERN_DIDDLES,
     scattered_left},
    {"seconds-weak-left", FINDING(DIDDLE_LEVEL, L, UNEVEN, WEAK), PATTERN_ROLL, weak_left},
    {"seconds-strong-right", FINDING(DIDDLE_LEVEL, R, UNEVEN, STRONG), PATTERN_ROLL, strong_right},
    {"seconds-level-scattered-left", FINDING(DIDDLE_LEVEL, L, UNEVEN, SCATTERED), PATTERN_DIDDLES,
     levels_scattered_left},
    {"accents-under-left", FINDING(ACCENT, L | B, UNDER, NONE), PATTERN_ACCENTS, under_left},
    {"accents-overblown-right", FINDING(ACCENT, R | B, OVERBLOWN, NONE), PATTERN_ACCENTS,
     overblown_right},
    {"accents-overblown-concert", FINDING(ACCENT, R | B, OVERBLOWN, NONE), PATTERN_CONCERT,
     overblown_right},
    {"place-sticks-out", FINDING(UNMARKED_ACCENT, R | B, STICKS_OUT, NONE), PATTERN_SINGLES,
     loud_place},
    {"taps-uneven", FINDING(TAP_LEVEL, B, UNEVEN, NONE), PATTERN_SINGLES, uneven_taps},
    {"flams-flat-left", FINDING(FLAM_GAP, L, FLAT, NONE), PATTERN_FLAMS, flat_left},
    {"flams-wide-right", FINDING(FLAM_GAP, R, WIDE, NONE), PATTERN_FLAMS, wide_right},
    {"drags-wide-right", FINDING(FLAM_GAP, R, WIDE, NONE), PATTERN_DRAGS, wide_drag_right},
    {"graces-loud-left", FINDING(GRACE_LEVEL, L, LOUD, NONE), PATTERN_FLAMS, loud_grace_left},
    {"buzz-thin-left", FINDING(BUZZ, L, THIN, NONE), PATTERN_BUZZ, thin_left},
    {"buzz-gapped-right", FINDING(BUZZ, R, GAPPED, NONE), PATTERN_WIDE_BUZZ, gapped_right},
    {"hand-soft-left", FINDING(HAND_LEVEL, B, UNMATCHED, LEFT_SOFT), PATTERN_SINGLES, left_soft},
    {"hand-soft-right", FINDING(HAND_LEVEL, B, UNMATCHED, RIGHT_SOFT), PATTERN_DIDDLES, right_soft},
    {"hand-late-left", FINDING(HAND_TIMING, B, UNMATCHED, LEFT_LATE), PATTERN_SINGLES, left_late},
    {"hand-late-right", FINDING(HAND_TIMING, B, UNMATCHED, RIGHT_LATE), PATTERN_DIDDLES,
     right_late},
    {"unsteady", FINDING(TIMING, B, UNSTEADY, NONE), PATTERN_SINGLES, unsteady},
    {"rushing", FINDING(TEMPO, B, DRIFTING, RUSHING), PATTERN_SINGLES, rushing},
    {"dragging", FINDING(TEMPO, B, DRIFTING, DRAGGING), PATTERN_SINGLES, dragging},
    {"strokes-missed", FINDING(MISSED, B, SOME, NONE), PATTERN_SINGLES, missing},
    {"strokes-added", FINDING(EXTRA, B, SOME, NONE), PATTERN_SINGLES, added},
    {"dynamics-narrow", FINDING(DYNAMICS, B, OFF, FLAT), PATTERN_DYNAMICS, narrow},
    {"passage-soft", FINDING(DYNAMICS, B, OFF, SOFT), PATTERN_DYNAMICS, passage_soft},
    {"hairpins-flat", FINDING(HAIRPIN, B, FLAT, NONE), PATTERN_HAIRPINS, hairpin_flat},
    {"hairpins-reversed", FINDING(HAIRPIN, B, REVERSED, NONE), PATTERN_HAIRPINS, hairpin_reversed},
    {"rim-forbidden", FINDING(RIM, B, SOME, NONE), PATTERN_LOUD_ACCENTS, rim},
};

const struct fault *fault_list(size_t *out_count) {
    *out_count = sizeof faults / sizeof *faults;
    return faults;
}

double fault_largest(const struct fault *fault) {
    return fault->put == gapped_right ? 1.2 : 0.0;
}
