/* A buzz roll as a whole: the hands' balance, where it starts, where it is released. Told, not
 * judged: there is no published measure of it. The hands are, under hand-level, hand-timing and
 * timing, whose strokes the presses are. */
#include <math.h>

#include "measure.h"
#include "verdict.h"

bool measure_reaches(const struct measures *m, size_t press, size_t next) {
    const struct eh_stroke *s = &m->strokes[m->row[press].stroke];
    return m->row[next].stretch == m->row[press].stretch &&
           m->in->plan->due[press].at + s->length >= m->in->plan->due[next].at;
}

static bool of_hand(const struct measures *m, int hand, size_t i) {
    return hand < 0 || m->row[i].hand == hand;
}

double measure_press_level(struct measures *m, int hand, size_t *out_n) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        if (r->kind == EH_KIND_BUZZ && r->matched && of_hand(m, hand, i)) {
            m->c[n++] = r->level;
        }
    }
    if (out_n != NULL) {
        *out_n = n;
    }
    return eh_median(m->c, n);
}

static double balance(struct measures *m) {
    size_t left = 0;
    size_t right = 0;
    const double l = measure_press_level(m, 0, &left);
    const double r = measure_press_level(m, 1, &right);
    const double least = m->style->least_n;
    return (double)left >= least && (double)right >= least ? l - r : NAN;
}

/* How long before its written end the press at I stops sounding. Lengths are ticks; those of its
 * bar tell how long one is. */
static double ends_early(const struct measures *m, size_t i) {
    const struct measure_stroke *r = &m->row[i];
    const struct eh_plan_bar *bar = &m->in->plan->bars[m->in->plan->due[i].bar];
    const double ns_per_tick = (double)(bar->end_ns - bar->at_ns) / (double)(bar->end - bar->at);
    const double length_ms = (double)m->strokes[r->stroke].length * ns_per_tick / 1e6;
    return r->at_ms + m->out->offset_ms + length_ms - m->f[i];
}

static bool begins_roll(const struct measures *m, size_t i) {
    return i == 0 || m->row[i - 1].kind != EH_KIND_BUZZ || !measure_reaches(m, i - 1, i);
}

/* A roll begins with a press that no press reaches. It is released by a stroke that its last press
 * reaches, else by the end of its sound. Each is told of the hand that plays it. */
static void find_ends(struct measures *m, int hand, struct measure_roll *out) {
    size_t starts = 0;
    size_t releases = 0;
    size_t ends = 0;
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        if (r->kind != EH_KIND_BUZZ) {
            continue;
        }
        const size_t next = measure_next_main(m, i);
        const bool held = next < m->count && measure_reaches(m, i, next);
        if (of_hand(m, hand, i) && begins_roll(m, i) && isfinite(m->time_rest[i])) {
            m->c[starts++] = m->time_rest[i];
        }
        if (held && m->row[next].kind != EH_KIND_BUZZ && of_hand(m, hand, next) &&
            isfinite(m->time_rest[next])) {
            m->d[releases++] = m->time_rest[next];
        }
        if (!held && of_hand(m, hand, i) && r->matched && isfinite(m->f[i])) {
            m->e[ends++] = ends_early(m, i);
        }
    }
    *out = (struct measure_roll){.starts = starts,
                                 .releases = releases,
                                 .ends = ends,
                                 .start_late_ms = eh_median(m->c, starts),
                                 .release_late_ms = eh_median(m->d, releases),
                                 .end_early_ms = eh_median(m->e, ends)};
}

void measure_roll_find(struct measures *m, int hand, struct measure_roll *out) {
    find_ends(m, hand, out);
    out->balance_db = balance(m);
}

static const double equal_db = 0.05; /* printed as 0.0 */

static void say_late(struct verdict_words *w, double late_ms) {
    say_number(w, fabs(late_ms), 0);
    say(w, late_ms < 0.0 ? " ms early" : " ms late");
}

void measure_roll_say(struct verdict_words *w, const struct measure_roll *r) {
    if (isfinite(r->balance_db) && fabs(r->balance_db) < equal_db) {
        say(w, "; both hands' presses are equally loud");
    } else if (isfinite(r->balance_db)) {
        say(w, r->balance_db < 0.0 ? "; left presses are " : "; right presses are ");
        say_number(w, fabs(r->balance_db), 1);
        say(w, " dB softer");
    }
    if (r->starts > 0) {
        say(w, r->starts == 1 ? "; the roll starts " : "; rolls start ");
        say_late(w, r->start_late_ms);
    }
    if (r->releases > 0) {
        say(w, r->releases == 1 ? "; the stroke that releases it comes "
                                : "; strokes that release them come ");
        say_late(w, r->release_late_ms);
    }
    if (r->ends > 0) {
        say(w, "; the sound ends ");
        say_number(w, fabs(r->end_early_ms), 0);
        say(w, r->end_early_ms < 0.0 ? " ms after its release is written"
                                     : " ms before its release is written");
    }
}
