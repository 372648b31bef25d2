/* When the strokes of a performance are played. */
#include <math.h>

#include "evenhand/exercise.h"
#include "perform.h"

/* Middle spread of the time between strokes, published for 75, 102 and 125 ms: 6.1, 8.4, 11.2 ms;
 * from 115 ms on it hardly grows. As shares of the last, with straight lines between. */
double perform_width(double spacing_ms) {
    const double share = spacing_ms < 102.0 ? 0.74 + (spacing_ms - 102.0) * (0.21 / 27.0)
                                            : 0.74 + (spacing_ms - 102.0) * (0.26 / 23.0);
    return fmin(fmax(share, 0.4), 1.0);
}

static size_t main_after(const struct intents *in, size_t i) {
    do {
        i++;
    } while (i < in->count && !intent_is_main(&in->row[i]));
    return i;
}

/* How much earlier a player is at tick AT of LENGTH whose tempo grows evenly from the click's to
 * PERCENT more: the time that a beat takes is 1 / (1 + p s / L), summed up. */
static double ahead(double percent, double at, double length) {
    const double p = percent / 100.0;
    if (fabs(p) < 1e-9 || length <= 0.0 || at <= 0.0) {
        return 0.0;
    }
    return at - length / p * log1p(p * at / length);
}

/* Hands move on a skeleton: singles, first strokes and presses. A second stroke falls out of its
 * hand's motion and is placed between two of these afterwards. */
static void time_skeleton(const struct written *w, const struct intents *in, const struct player *p,
                          struct chance *chance, struct blows *out) {
    double wander = p->wander_ms * chance_normal(chance);
    double last_ms = -INFINITY;
    bool after_accent = false;
    const double length = in->count > 0 ? (double)in->row[in->count - 1].at * w->ms_per_tick : 0.0;
    for (size_t i = 0; i < in->count; i++) {
        const struct intent *s = &in->row[i];
        if (s->kind == EH_KIND_GRACE || s->kind == EH_KIND_SECOND) {
            continue;
        }
        const double due_ms = (double)s->at * w->ms_per_tick;
        const double spacing = due_ms - last_ms;
        const double width = perform_width(spacing);
        wander =
            p->keep * wander + sqrt(1.0 - p->keep * p->keep) * p->wander_ms * chance_normal(chance);
        const double drag = after_accent && spacing < 1000.0 ? p->accent_drag * spacing : 0.0;
        out->error[i] = width * p->own_ms;
        out->known[i] = written_ms(w, s->at) + p->offset_ms -
                        ahead(p->end_percent, due_ms, length) + width * wander +
                        p->hand_late_ms[s->hand] + drag;
        out->at[i] = out->known[i] + out->error[i] * chance_normal(chance);
        after_accent = s->accent > 0;
        last_ms = due_ms;
    }
}

/* The error of a second stroke: in ms it is the same at every tempo. Published pairs lie within 0.2
 * and 0.8 of their span. */
static double second_error(const struct player *p, int hand, double span, struct chance *chance) {
    const double sd = p->second_share_sd[hand];
    const double most = sd > 0.0 ? 0.42 : 0.3;
    const double error =
        sd > 0.0 ? sd * span * chance_normal(chance) : p->second_ms * chance_tailed(chance);
    return fmin(fmax(error, -most * span), most * span) + p->second_share[hand] * span;
}

static void time_seconds(const struct written *w, const struct intents *in, const struct player *p,
                         struct chance *chance, struct blows *out) {
    double *at = out->at;
    size_t first = 0;
    for (size_t i = 0; i < in->count; i++) {
        const struct intent *s = &in->row[i];
        if (s->kind != EH_KIND_SECOND) {
            first = intent_is_main(s) ? i : first;
            continue;
        }
        const double gap = (double)(s->at - in->row[first].at) * w->ms_per_tick;
        const size_t next = main_after(in, i);
        double span = 2.0 * gap;
        double ratio = 0.5;
        /* A span that ends in silence, or longer than any hand's motion, has no third stroke. */
        if (next < in->count && in->row[next].kind != EH_KIND_SECOND) {
            const double written = (double)(in->row[next].at - in->row[first].at) * w->ms_per_tick;
            if (written < 4.0 * gap) {
                span = at[next] - at[first];
                ratio = gap / written;
            }
        }
        span = fmax(span, gap); /* never so short that the strokes would change places */
        out->known[i] = at[first] + ratio * span + p->second_share[s->hand] * span;
        out->error[i] = fmax(p->second_ms, p->second_share_sd[s->hand] * span);
        at[i] = at[first] + ratio * span + second_error(p, s->hand, span, chance);
    }
}

static void time_hands(const struct intents *in, const struct player *p, struct blows *out) {
    for (size_t i = 0; i < in->count; i++) {
        if (intent_is_main(&in->row[i])) {
            out->at[i] += p->fault_late_ms[in->row[i].hand];
            out->known[i] += p->fault_late_ms[in->row[i].hand];
        }
    }
}

/* However wide the scatter, hands keep the order of their strokes. */
static void keep_order(const struct written *w, const struct intents *in, double *at) {
    size_t last = in->count;
    for (size_t i = 0; i < in->count; i++) {
        if (!intent_is_main(&in->row[i])) {
            continue;
        }
        if (last < in->count) {
            const double gap = (double)(in->row[i].at - in->row[last].at) * w->ms_per_tick;
            at[i] = fmax(at[i], at[last] + 0.15 * gap);
        }
        last = i;
    }
}

/* Grace notes from their main note backwards. Where the stroke before is near they close up: a
 * drag takes about half of the way. */
static void time_graces(const struct intents *in, const struct player *p, struct chance *chance,
                        struct blows *out) {
    double *at = out->at;
    double before = -INFINITY;
    for (size_t i = 0; i < in->count; i++) {
        const struct intent *s = &in->row[i];
        if (!intent_is_main(s)) {
            continue;
        }
        const int graces = s->graces;
        double lead = 0.0;
        double leads[8] = {0};
        for (int g = 0; g < graces && g < 7; g++) {
            const double usual = graces > 1 ? p->drag_ms[s->hand] : p->flam_ms[s->hand];
            const double log_sd = graces > 1 ? p->drag_log_sd : p->flam_log_sd;
            lead += usual * exp(log_sd * chance_normal(chance));
            leads[g] = lead;
        }
        const double room = (graces > 1 ? 0.55 : 0.8) * (at[i] - before);
        const double close = lead > room ? fmax(room, 1.0) / lead : 1.0;
        for (int g = 0; g < graces && g < 7 && (size_t)g < i; g++) {
            const double usual = graces > 1 ? p->drag_ms[s->hand] : p->flam_ms[s->hand];
            at[i - 1 - (size_t)g] = at[i] - leads[g] * close;
            out->known[i - 1 - (size_t)g] = at[i] - usual * (g + 1) * close;
            out->error[i - 1 - (size_t)g] = 0.35 * usual * sqrt(g + 1.0);
        }
        before = at[i];
    }
}

void perform_times(const struct written *w, const struct intents *intents,
                   const struct player *player, struct chance *chance, struct blows *out) {
    time_skeleton(w, intents, player, chance, out);
    time_seconds(w, intents, player, chance, out);
    time_hands(intents, player, out);
    keep_order(w, intents, out->at);
    time_graces(intents, player, chance, out);
}
