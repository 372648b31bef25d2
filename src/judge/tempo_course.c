#include "evenhand/tempo_course.h"

#include <math.h>
#include <stdlib.h>

#include "evenhand/stats.h"

static const double range_of_bars = 3.5;
static const double half_90 = 1.645; /* of a 90 % interval, in standard errors */

/* The bars of the run, with their tempi. */
struct bars {
    const struct eh_judgement *judgement;
    double *bpm; /* owned; one a bar of the plan */
    size_t count;
};

static int64_t waited_ns(const struct eh_free_tempo *tempo, const struct eh_plan_bar *bar) {
    int64_t ns = 0;
    for (size_t k = 0; k < tempo->halt_count; k++) {
        const eh_ticks at = tempo->halts[k].at;
        ns += at > bar->at && at <= bar->end ? tempo->halts[k].excess_ns : 0;
    }
    return ns;
}

static double bar_bpm(const struct eh_judgement *j, const struct eh_plan_bar *bar) {
    const double quarters = (double)(bar->end - bar->at) / (double)EH_TICKS_PER_QUARTER;
    const int64_t ns = bar->end_ns - bar->at_ns - waited_ns(&j->free_tempo, bar);
    return ns > 0 ? quarters * 60.0 * (double)EH_NS_PER_S / (double)ns : NAN;
}

/* What the strokes' scatter may do to the tempo of a bar, percent. */
static enum eh_status find_error(const struct eh_judgement *j, double *out) {
    const struct eh_plan *plan = &j->plan;
    double *off = calloc(plan->due_count + 1, sizeof *off);
    size_t n = 0;
    if (off == NULL) {
        return EH_NO_MEMORY;
    }
    for (size_t i = 0; i < plan->main_count; i++) {
        const double late_ms = eh_judgement_offset_ms(j, plan->mains[i]);
        const struct eh_stroke *stroke = eh_plan_stroke(plan, plan->mains[i]);
        if (isfinite(late_ms) && stroke->kind != EH_KIND_SECOND) {
            off[n++] = late_ms;
        }
    }
    const struct eh_plan_bar *bar = &plan->bars[0];
    const double bar_ms = 60000.0 / j->free_tempo.bpm * 4.0 * bar->beats / bar->unit;
    *out = n > 1 ? 100.0 * eh_mad(off, n) / bar_ms : NAN;
    free(off);
    return EH_OK;
}

/* ---- Turning points ---- */

static double percent(double from, double to) {
    return 100.0 * (to / from - 1.0);
}

/* The end of the leg that begins at FROM: the furthest bar before the tempo turns by TURN. */
static size_t leg_end(const struct bars *b, size_t from, double turn) {
    size_t high = from;
    size_t low = from;
    for (size_t i = from + 1; i < b->count; i++) {
        high = b->bpm[i] > b->bpm[high] ? i : high;
        low = b->bpm[i] < b->bpm[low] ? i : low;
        if (high > from && percent(b->bpm[high], b->bpm[i]) < -turn &&
            percent(b->bpm[from], b->bpm[high]) > turn) {
            return high;
        }
        if (low > from && percent(b->bpm[low], b->bpm[i]) > turn &&
            percent(b->bpm[from], b->bpm[low]) < -turn) {
            return low;
        }
    }
    return fabs(percent(b->bpm[from], b->bpm[high])) > fabs(percent(b->bpm[from], b->bpm[low]))
               ? high
               : low;
}

/* ---- The ramp between two levels ---- */

/* Level FROM up to bar line FIRST, an even way to level TO at bar line LAST, and that level on. */
struct ramp {
    size_t first, last;
    double from, to;
    double squares; /* what the bars differ from it by */
};

/* The levels that suit the bars LOW .. HIGH best: least squares. */
static void fit_levels(const struct bars *b, size_t low, size_t high, struct ramp *ramp) {
    double m00 = 0.0;
    double m01 = 0.0;
    double m11 = 0.0;
    double y0 = 0.0;
    double y1 = 0.0;
    double yy = 0.0;
    for (size_t i = low; i <= high; i++) {
        const double x =
            ((double)i + 0.5 - (double)ramp->first) / (double)(ramp->last - ramp->first);
        const double to = fmin(fmax(x, 0.0), 1.0);
        const double from = 1.0 - to;
        m00 += from * from;
        m01 += from * to;
        m11 += to * to;
        y0 += from * b->bpm[i];
        y1 += to * b->bpm[i];
        yy += b->bpm[i] * b->bpm[i];
    }
    const double whole = m00 * m11 - m01 * m01;
    ramp->from = (y0 * m11 - y1 * m01) / whole;
    ramp->to = (y1 * m00 - y0 * m01) / whole;
    ramp->squares = whole > 1e-9 ? yy - ramp->from * y0 - ramp->to * y1 : INFINITY;
}

/* The best of all ramps through the bars LOW .. HIGH; bar lines count from the run's first. Long
 * stretches are gone through in steps. */
static struct ramp best_ramp(const struct bars *b, size_t low, size_t high) {
    enum { FINE = 128 };
    const size_t step = (high - low) / FINE + 1;
    struct ramp best = {low, high + 1, NAN, NAN, INFINITY};
    for (size_t first = low; first <= high; first += step) {
        for (size_t last = first + 1; last <= high + 1; last += step) {
            struct ramp ramp = {first, last, NAN, NAN, INFINITY};
            fit_levels(b, low, high, &ramp);
            if (ramp.squares < best.squares) {
                best = ramp;
            }
        }
    }
    return best;
}

static uint32_t heard(const struct eh_judgement *j, size_t first, size_t last) {
    uint32_t n = 0;
    for (size_t i = j->plan.bars[first].first_due;
         i < j->plan.bars[last].first_due + (size_t)j->plan.bars[last].due_count; i++) {
        n += j->matches[i].hit != EH_NO_HIT;
    }
    return n;
}

/* ---- Legs ---- */

/* The smooth tempo takes up to two bars over a change at once, the middle of which is the bar line.
 */
enum { AT_ONCE = 2 };

static bool is_step(const struct ramp *ramp) {
    return ramp->last - ramp->first <= AT_ONCE;
}

static void fill_leg(const struct bars *b, size_t first, size_t last, double error,
                     struct eh_tempo_leg *leg) {
    const struct eh_judgement *j = b->judgement;
    leg->first_bar = j->plan.bars[first].written;
    leg->last_bar = j->plan.bars[last].written;
    leg->percent = percent(leg->from_bpm, leg->to_bpm);
    leg->low = leg->percent - range_of_bars * error;
    leg->high = leg->percent + range_of_bars * error;
    leg->n = heard(j, first, last);
    leg->all = 4 * (last - first + 1) >= 3 * b->count;
}

/* RAMP and NEXT (NULL: none) as a leg; true when it took both. */
static bool make_leg(const struct bars *b, const struct ramp *ramp, const struct ramp *next,
                     double error, struct eh_tempo_leg *out) {
    const double limit = b->judgement->style->drift_percent;
    const size_t line = (ramp->first + ramp->last) / 2;
    *out = (struct eh_tempo_leg){.kind = EH_TEMPO_RAMP, .from_bpm = ramp->from, .to_bpm = ramp->to};
    if (!is_step(ramp)) {
        fill_leg(b, ramp->first, ramp->last - 1, error, out);
        return false;
    }
    const size_t end = next != NULL ? (next->first + next->last) / 2 : 0;
    if (next != NULL && is_step(next) && end > line &&
        fabs(percent(ramp->from, next->to)) <= limit) {
        out->kind = EH_TEMPO_SPELL;
        fill_leg(b, line, end - 1, error, out);
        return true;
    }
    out->kind = EH_TEMPO_STEP;
    fill_leg(b, line, line, error, out);
    return false;
}

static size_t find_ramps(const struct bars *b, double turn, struct ramp *out, size_t most) {
    size_t count = 0;
    for (size_t at = 0; at + 1 < b->count && count < most;) {
        const size_t end = leg_end(b, at, turn);
        if (end == at) {
            break;
        }
        const bool turns = leg_end(b, end, turn) != end;
        out[count++] = best_ramp(b, at, turns ? end : b->count - 1);
        at = end;
    }
    return count;
}

/* A ramp whose change does not surely pass the limit is left out. */
static void find_legs(struct eh_tempo_course *out, const struct bars *b, double limit) {
    struct ramp ramps[2 * EH_TEMPO_LEGS_MAX];
    const double chance = range_of_bars * out->error_percent;
    const size_t found = find_ramps(b, fmax(limit, chance), ramps, sizeof ramps / sizeof ramps[0]);
    size_t count = 0;
    for (size_t i = 0; i < found; i++) {
        if (fabs(percent(ramps[i].from, ramps[i].to)) > limit + chance) {
            ramps[count++] = ramps[i];
        }
    }
    for (size_t i = 0; i < count && out->leg_count < EH_TEMPO_LEGS_MAX; i++) {
        const struct ramp *next = i + 1 < count ? &ramps[i + 1] : NULL;
        i += make_leg(b, &ramps[i], next, out->error_percent, &out->legs[out->leg_count++]);
    }
}

/* ---- */

static double mean_bpm(const struct bars *b, size_t first, size_t last) {
    double quarters = 0.0;
    double minutes = 0.0;
    for (size_t i = first; i <= last; i++) {
        const struct eh_plan_bar *bar = &b->judgement->plan.bars[i];
        const double here = (double)(bar->end - bar->at) / (double)EH_TICKS_PER_QUARTER;
        quarters += here;
        minutes += here / b->bpm[i];
    }
    return quarters / minutes;
}

static bool lay_bars(struct bars *b) {
    for (size_t i = 0; i < b->count; i++) {
        b->bpm[i] = bar_bpm(b->judgement, &b->judgement->plan.bars[i]);
        if (!isfinite(b->bpm[i])) {
            return false;
        }
    }
    return true;
}

enum eh_status eh_tempo_course_find(struct eh_tempo_course *out,
                                    const struct eh_judgement *judgement) {
    struct bars b = {.judgement = judgement, .count = judgement->plan.bar_count};
    *out = (struct eh_tempo_course){.known = false};
    if (!judgement->no_click || b.count < 2) {
        return EH_OK;
    }
    b.bpm = calloc(b.count, sizeof *b.bpm);
    enum eh_status status =
        b.bpm == NULL ? EH_NO_MEMORY : find_error(judgement, &out->error_percent);
    if (status == EH_OK && lay_bars(&b) && isfinite(out->error_percent)) {
        out->known = true;
        out->begin_bpm = mean_bpm(&b, 0, 1);
        out->end_bpm = mean_bpm(&b, b.count - 2, b.count - 1);
        out->change_percent = percent(out->begin_bpm, out->end_bpm);
        out->change_low = out->change_percent - half_90 * out->error_percent;
        out->change_high = out->change_percent + half_90 * out->error_percent;
        out->slowest = out->quickest = b.bpm[0];
        for (size_t i = 0; i < b.count; i++) {
            out->slowest = fmin(out->slowest, b.bpm[i]);
            out->quickest = fmax(out->quickest, b.bpm[i]);
        }
        find_legs(out, &b, judgement->style->drift_percent);
    }
    free(b.bpm);
    return status;
}
