/* One path of the search, one hit further: a Kalman filter over place and tempo. */
#include <math.h>

#include "free.h"

/* ---- What things cost: those of the follower, docs/follower.md ---- */
static const double extra_cost = 2.5;
static const double further_extra_cost = 0.4;
static const double most_extra_cost = 16.0;
static const double echo_cost = 0.6;
static const double bounce_cost = 0.02;
static const double stroke_worth = 2.0;
enum { DEAR_EXTRAS = 4, MOST_OUTSIDE = 30 };

/* How far a tempo walks: 1.5 % by the square root of beats. A wave of 4 % over eight bars moves it
 * by 0.8 % a beat at its steepest; a player who keeps his tempo by far less. */
static const double walk = 0.015;
/* A stroke further off than this many standard deviations is another stroke. */
static const double gate = 4.0;
/* Two strokes alone may mislead by this factor beyond the tempi that are looked for. */
static const double slack = 1.3;
/* One unit of cost when the tempo is this factor (as a logarithm) outside the exercise's marks:
 * half or twice the tempo costs about what a quarter of a stroke left out does. */
static const double prior_log_sd = 0.6;

double free_scatter_ms(const struct free_note *note, double quarter_ms) {
    const double share = 0.12 * note->spacing * quarter_ms;
    return fmin(fmax(share, 7.0), 24.0);
}

double free_prior_cost(const struct free_notes *notes, double quarter_ms) {
    const double bpm = 60000.0 / quarter_ms;
    double off = 0.0;
    if (bpm < notes->slowest) {
        off = log(notes->slowest / bpm);
    } else if (bpm > notes->fastest) {
        off = log(bpm / notes->fastest);
    }
    return 0.5 * (off / prior_log_sd) * (off / prior_log_sd);
}

/* ---- Hits that are left over ---- */

static double cost_of_extras(uint16_t n) {
    const double dear = n < DEAR_EXTRAS ? n : DEAR_EXTRAS;
    return fmin(dear * extra_cost + (n - dear) * further_extra_cost, most_extra_cost);
}

void free_leave_over(struct free_path *path, const struct free_notes *notes, double ms, bool echo) {
    path->fresh = false;
    if (!path->before) {
        const struct free_note *note = &notes->notes[path->note];
        if (path->note + 1 == notes->count && ms > path->ms + 0.5 * path->quarter) {
            path->cost += path->left_over < MOST_OUTSIDE ? FREE_OUTSIDE_COST : 0.0;
            path->left_over = (uint16_t)(path->left_over + (path->left_over < MOST_OUTSIDE));
            return;
        }
        if (note->buzz) {
            path->cost += bounce_cost;
            return;
        }
    }
    if (echo) {
        path->cost += echo_cost;
        return;
    }
    if (path->left_over < UINT16_MAX) {
        path->cost -= cost_of_extras(path->left_over);
        path->cost += cost_of_extras(++path->left_over);
    }
    path->left[2] = path->left[1];
    path->left[1] = path->left[0];
    path->left[0] = ms;
}

/* Hits that were left over just before a stroke with grace notes were its grace notes. */
static double grace_refund(const struct free_path *path, const struct free_note *note, double ms) {
    const double reach = 30.0 + 45.0 * note->graces;
    uint16_t graces = 0;
    for (int i = 0; i < 3 && i < path->left_over && graces < note->graces; i++) {
        graces = (uint16_t)(graces + (ms - path->left[i] <= reach));
    }
    return cost_of_extras(path->left_over) - cost_of_extras((uint16_t)(path->left_over - graces));
}

/* ---- Going on ---- */

/* Two strokes alone: the first tempo. */
static bool first_tempo(struct free_path *path, const struct free_notes *notes, double beats,
                        double ms) {
    const double quarter = (ms - path->ms) / beats;
    const double bpm = quarter > 0.0 ? 60000.0 / quarter : 0.0;
    if (bpm < EH_FREE_TEMPO_MIN / slack || bpm > EH_FREE_TEMPO_MAX * slack) {
        return false;
    }
    const double scatter = free_scatter_ms(&notes->notes[path->note], quarter);
    const double v = scatter * scatter;
    path->ms = ms;
    path->quarter = quarter;
    path->v00 = v;
    path->v01 = v / beats;
    path->v11 = 2.0 * v / (beats * beats);
    path->cost += free_prior_cost(notes, quarter);
    return true;
}

static void predict(struct free_path *path, double beats) {
    const double q = walk * walk * path->quarter * path->quarter * beats;
    const double v11 = path->v11 + q;
    const double v01 = path->v01 + beats * path->v11 + q * beats / 2.0;
    const double v00 =
        path->v00 + 2.0 * beats * path->v01 + beats * beats * path->v11 + q * beats * beats / 3.0;
    path->ms += beats * path->quarter;
    path->v00 = v00;
    path->v01 = v01;
    path->v11 = v11;
}

static bool observe(struct free_path *path, const struct free_note *note, double ms) {
    const double scatter = free_scatter_ms(note, path->quarter);
    const double r = scatter * scatter;
    const double s = path->v00 + r;
    const double off = ms - path->ms;
    if (off * off > gate * gate * s) {
        return false;
    }
    path->cost += 0.5 * off * off / s + 0.5 * log(s / r);
    const double gain_ms = path->v00 / s;
    const double gain_quarter = path->v01 / s;
    path->ms += gain_ms * off;
    path->quarter += gain_quarter * off;
    path->v11 -= gain_quarter * path->v01;
    path->v01 -= gain_quarter * path->v00;
    path->v00 -= gain_ms * path->v00;
    const double bpm = 60000.0 / path->quarter;
    return path->quarter > 0.0 && bpm >= EH_FREE_TEMPO_MIN / slack &&
           bpm <= EH_FREE_TEMPO_MAX * slack;
}

/* After a halt the place is the hit's own; the tempo is about what it was. */
static void begin_again(struct free_path *path, const struct free_note *note, double ms) {
    const double scatter = free_scatter_ms(note, path->quarter);
    path->ms = ms;
    path->v00 = scatter * scatter;
    path->v01 = 0.0;
    path->v11 += 0.05 * 0.05 * path->quarter * path->quarter;
}

/* The bar that a path is in, and the one that it was in before. */
static void count_in_bar(struct free_path *path, const struct free_note *note, double at,
                         const struct free_move *move) {
    if (path->in.strokes == 0 || path->in.bar != note->bar) {
        const bool waited = path->in.halted || move->halt;
        path->past = path->in;
        path->past.bpm = waited ? NAN : 60000.0 * (at - path->in.at) / (move->ms - path->in.ms);
        path->in = (struct free_heard){.bar = note->bar, .at = at, .ms = move->ms};
    } else {
        path->in.halted = path->in.halted || move->halt;
    }
    path->in.strokes++;
}

bool free_go(struct free_path *path, const struct free_notes *notes, const struct free_move *move) {
    const struct free_note *note = &notes->notes[move->note];
    const double beats = note->at + move->shift - path->at;
    if (beats <= 0.0) {
        return false;
    }
    if (move->halt) {
        begin_again(path, note, move->ms);
    } else if (path->v11 < 0.0) {
        if (!first_tempo(path, notes, beats, move->ms)) {
            return false;
        }
    } else {
        predict(path, beats);
        if (!observe(path, note, move->ms)) {
            return false;
        }
    }
    path->cost += move->cost - stroke_worth;
    path->cost -= note->graces > 0 ? grace_refund(path, note, move->ms) : 0.0;
    count_in_bar(path, note, note->at + move->shift, move);
    path->at = note->at + move->shift;
    path->shift = move->shift;
    path->hit_ms = move->ms;
    path->note = move->note;
    path->hit = move->hit;
    path->left_over = 0;
    path->fresh = true;
    path->halted = move->halt;
    path->lag = path->before ? (int64_t)move->note - (int64_t)move->hit : path->lag;
    path->before = false;
    return true;
}
