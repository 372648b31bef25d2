/* The likeliest matching where presses are played. Every reading of the hits so far is kept side by
 * side, its likelihood worked out note by note from the figures that the simulator plays and hides
 * by; the least likely ones are given up. */
#include "knowing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BEAM = 96, NOTHING = -1 };
static const double give_up = 14.0;

/* A press whose notes may go on. */
struct tail {
    int32_t due;                /* NOTHING: there is none */
    int32_t hit;                /* of its last note */
    int32_t notes;              /* how many were played, that one included */
    double silent;              /* log of the chance of no further note up to now */
    double next_ms, next_sd_ms; /* when the next hand is due */
};

struct reading {
    double cost;
    int32_t decided; /* strokes matched or given up */
    int32_t parent;  /* the reading that it goes on from, a link */
    struct tail now, before;
};

/* How a reading was reached. */
struct link {
    int32_t parent;
    int32_t due; /* the stroke that the hit was taken for, or NOTHING */
};

struct search {
    const struct knowing *k;
    const double *at_ms, *db;
    size_t hits;
    double left_out, added, echoed; /* costs, by ms where times are drawn */
    struct reading *row, *next;
    size_t count, next_count;
    struct link *links; /* BEAM a hit */
};

static double normal(double x, double mean, double sd) {
    const double z = (x - mean) / sd;
    return exp(-0.5 * z * z) / (2.506628 * sd);
}

static double below(double x, double mean, double sd) {
    return 0.5 * erfc((mean - x) / (1.414214 * sd));
}

/* ---- The figures of the player and the pad ---- */

static const double gap_ms[] = {47, 36, 33, 31, 31, 31};
static const double step_db[] = {-1.1, -1.6, -1.7, -1.5, -1.5, -1.5};
static const double gap_spread = 0.23; /* SD of the logarithm, nearly */
enum { GAPS = 6 };

static double threshold_db(double after_ms) {
    if (after_ms > 60.0 || after_ms < 0.0) {
        return -100.0;
    }
    return after_ms < 10.0 ? 8.0 : 1.8 - 0.21 * after_ms;
}

static double error_density(double at_ms, double known_ms, double error_ms) {
    const double sd = fmax(error_ms, 1.0);
    return 0.97 * normal(at_ms, known_ms, sd) + 0.03 * normal(at_ms, known_ms, 3.0 * sd);
}

/* How likely a press of so many notes has another. */
static double more(const struct search *s, const struct tail *t) {
    const struct eh_stroke *stroke = written_stroke(s->k->w, (size_t)t->due);
    const double *share = s->k->player->notes_share[stroke->hand];
    double rest = 0.0;
    double all = 0.0;
    for (int n = t->notes; n <= 7; n++) {
        all += share[n - 1];
        rest += n > t->notes ? share[n - 1] : 0.0;
    }
    return all > 0.0 ? rest / all : 0.0;
}

/* ---- Bounces ---- */

static double squeezed(const struct search *s, const struct tail *t) {
    const double room = t->next_ms - s->k->blows->known[t->due];
    return fmin(1.0, fmax(room, 20.0) / 125.0);
}

/* How likely the press still goes on at AT_MS: it ends about when the next hand's begins. */
static double goes_on(const struct search *s, const struct tail *t, double at_ms) {
    const double room = t->next_ms - s->k->blows->known[t->due];
    const double from = t->next_ms - 0.15 * room - t->next_sd_ms;
    const double to = t->next_ms + 0.15 * room + t->next_sd_ms;
    return fmin(fmax((to - at_ms) / fmax(to - from, 1.0), 1e-4), 1.0);
}

static double bounce_sees(const struct search *s, const struct tail *t, int notes, double at_ms,
                          int32_t last) {
    const double mean = s->db[t->hit] + step_db[notes - 1];
    return 1.0 - below(s->db[last] + threshold_db(at_ms - s->at_ms[last]), mean, 1.2);
}

/* The chance that T has sounded no further note by AT_MS, hit LAST being the newest before. */
static double silence(const struct search *s, const struct tail *t, double at_ms, int32_t last) {
    if (t->notes > GAPS) {
        return 1.0;
    }
    const double gap = gap_ms[t->notes - 1] * squeezed(s, t);
    const double due_ms = s->at_ms[t->hit] + gap;
    const double late = below(log(fmax(at_ms - s->at_ms[t->hit], 0.1)), log(gap), gap_spread);
    const double seen = bounce_sees(s, t, t->notes, fmax(due_ms, s->at_ms[last]), last);
    return fmax(1.0 - more(s, t) * late * seen * goes_on(s, t, due_ms), 1e-4);
}

static void wait(const struct search *s, struct tail *t, struct reading *r, double at_ms,
                 int32_t last) {
    if (t->due == NOTHING) {
        return;
    }
    const double now = fmin(log(silence(s, t, at_ms, last)), t->silent);
    r->cost += t->silent - now;
    t->silent = now;
}

/* Density of hit H being the next note of T that is heard; *OUT_NOTES counts it in. */
static double bounce_density(const struct search *s, const struct tail *t, int32_t h,
                             int32_t *out_notes) {
    const double since = s->at_ms[h] - s->at_ms[t->hit];
    const double rise = s->db[h] - s->db[t->hit];
    if (since <= 5.0 || since > 130.0 || t->notes > GAPS) {
        return 0.0;
    }
    const double squeeze = squeezed(s, t);
    const double go = goes_on(s, t, s->at_ms[h]) * more(s, t);
    const int k = t->notes - 1;
    const double one = normal(log(since), log(gap_ms[k] * squeeze), gap_spread) / since *
                       normal(rise, step_db[k], 1.05);
    *out_notes = t->notes + 1;
    double two = 0.0;
    if (t->notes < GAPS && h > 0) {
        const double hidden_ms = s->at_ms[t->hit] + gap_ms[k] * squeeze;
        const int32_t last = s->at_ms[h - 1] > hidden_ms ? t->hit : h - 1;
        const double hidden = 1.0 - bounce_sees(s, t, t->notes, hidden_ms, last);
        const double sum = (gap_ms[k] + gap_ms[k + 1]) * squeeze;
        struct tail after = *t;
        after.notes++;
        two = fmax(hidden, 0.005) * more(s, &after) *
              normal(log(since), log(sum), 0.7 * gap_spread) / since *
              normal(rise, step_db[k] + step_db[k + 1], 1.45);
    }
    *out_notes += two > one ? 1 : 0;
    return go * (one + two);
}

/* ---- Onsets that the pad hid ---- */

static int32_t last_before(const struct search *s, int32_t h, double at_ms) {
    do {
        h--;
    } while (h >= 0 && s->at_ms[h] > at_ms);
    return h;
}

/* Density of hit H being the first that is heard of press DUE, as its second note. */
static double hidden_density(const struct search *s, int32_t due, double squeeze, int32_t h) {
    static const double every_ms = 2.0;
    const struct blows *b = s->k->blows;
    const double known = b->known[due];
    if (s->at_ms[h] < known - 20.0 || s->at_ms[h] > known + 110.0) {
        return 0.0;
    }
    /* What the onset's level must have been, by the note after it. */
    const double own = b->level_sd[due] * b->level_sd[due];
    const double mean = b->level[due] + own / (own + 1.0) * (s->db[h] - step_db[0] - b->level[due]);
    const double sd = sqrt(own / (own + 1.0));
    double sum = 0.0;
    for (int step = 10; step < 42; step++) {
        const double since = every_ms * step * squeeze;
        const double at = s->at_ms[h] - since;
        const int32_t last = last_before(s, h, at);
        if (last >= 0 && at - s->at_ms[last] < 60.0) {
            const double gap = gap_ms[0] * squeeze;
            sum += every_ms * squeeze * error_density(at, known, b->error[due]) *
                   normal(log(since), log(gap), gap_spread) / since *
                   below(s->db[last] + threshold_db(at - s->at_ms[last]), mean, sd);
        }
    }
    return sum * normal(s->db[h], b->level[due] + step_db[0], sqrt(own + 1.0));
}

/* ---- The readings ---- */

static bool same(const struct reading *a, const struct reading *b) {
    return a->decided == b->decided && a->now.due == b->now.due && a->now.hit == b->now.hit &&
           a->now.notes == b->now.notes && a->before.due == b->before.due &&
           a->before.hit == b->before.hit;
}

/* Keeps R, reached by hit H, unless a better reading leaves the same behind it. */
static void keep(struct search *s, int32_t h, const struct reading *r, int32_t due) {
    size_t at = s->next_count;
    size_t worst = 0;
    for (size_t i = 0; i < s->next_count; i++) {
        at = same(&s->next[i], r) ? i : at;
        worst = s->next[i].cost > s->next[worst].cost ? i : worst;
    }
    if (at == s->next_count) {
        at = s->next_count < BEAM ? s->next_count++ : worst;
        s->next[at].cost = INFINITY;
    }
    if (r->cost < s->next[at].cost) {
        s->next[at] = *r;
        s->links[(size_t)h * BEAM + at] = (struct link){r->parent, due};
    }
}

static bool is_press(const struct search *s, int32_t due) {
    return written_stroke(s->k->w, (size_t)due)->kind == EH_KIND_BUZZ;
}

static struct tail new_tail(const struct search *s, int32_t due, int32_t hit, int32_t notes) {
    struct tail t = {.due = NOTHING};
    if (is_press(s, due)) {
        const struct blows *b = s->k->blows;
        const bool last = (size_t)due + 1 >= s->k->w->plan.due_count;
        const struct eh_stroke *stroke = written_stroke(s->k->w, (size_t)due);
        t.due = due;
        t.hit = hit;
        t.notes = notes;
        t.next_ms = last ? b->known[due] + (double)stroke->length * s->k->w->ms_per_tick
                         : b->known[due + 1];
        t.next_sd_ms = last ? 0.0 : b->error[due + 1];
    }
    return t;
}

/* Hit H begins stroke DUE; NOTES: as its how manieth note. */
static void begin(struct search *s, const struct reading *r, int32_t h, int32_t due, int32_t notes,
                  double density) {
    if (density < 1e-12) {
        return;
    }
    struct reading made = *r;
    made.cost += -log(density);
    for (int32_t i = r->decided; i < due; i++) {
        const bool grace = written_stroke(s->k->w, (size_t)i)->kind == EH_KIND_GRACE;
        made.cost += grace ? fmin(s->left_out, 2.0) : s->left_out;
    }
    made.decided = due + 1;
    made.before = r->now;
    if (notes == 1 && made.before.due == due - 1) {
        made.before.next_ms = s->at_ms[h];
        made.before.next_sd_ms = 0.0;
    }
    made.now = new_tail(s, due, h, notes);
    keep(s, h, &made, due);
}

static void try_onsets(struct search *s, const struct reading *r, int32_t h) {
    const struct blows *b = s->k->blows;
    const int32_t count = (int32_t)s->k->w->plan.due_count;
    for (int32_t due = r->decided; due < count && due < r->decided + 24; due++) {
        if (b->known[due] > s->at_ms[h] + 200.0) {
            break;
        }
        const double level = 0.98 * normal(s->db[h], b->level[due], b->level_sd[due]) +
                             0.02 * normal(s->db[h], b->level[due], 3.0 * b->level_sd[due]);
        begin(s, r, h, due, 1, level * error_density(s->at_ms[h], b->known[due], b->error[due]));
        if (is_press(s, due)) {
            const struct tail t = new_tail(s, due, h, 2);
            begin(s, r, h, due, 2, hidden_density(s, due, squeezed(s, &t), h));
        }
    }
}

static void try_bounces(struct search *s, const struct reading *r, int32_t h) {
    for (int which = 0; which < 2; which++) {
        const struct tail *t = which == 0 ? &r->now : &r->before;
        int32_t notes = 0;
        const double density = t->due == NOTHING ? 0.0 : bounce_density(s, t, h, &notes);
        if (density > 1e-12) {
            struct reading made = *r;
            struct tail *on = which == 0 ? &made.now : &made.before;
            made.cost += t->silent - log(density);
            on->hit = h;
            on->notes = notes;
            on->silent = 0.0;
            keep(s, h, &made, NOTHING);
        }
    }
}

static double added_level(const struct search *s, int32_t h) {
    const struct blows *b = s->k->blows;
    double mean = 0.0;
    double nearest = INFINITY;
    for (size_t i = 0; i < s->k->w->plan.due_count; i++) {
        const double away = fabs(b->known[i] - s->at_ms[h]);
        mean = away < nearest ? b->level[i] : mean;
        nearest = fmin(nearest, away);
    }
    return normal(s->db[h], mean, 3.0);
}

static void take(struct search *s, int32_t h, double odd_level) {
    s->next_count = 0;
    for (size_t i = 0; i < s->count; i++) {
        struct reading r = s->row[i];
        r.parent = (int32_t)i;
        if (h > 0) {
            wait(s, &r.now, &r, s->at_ms[h], h - 1);
            wait(s, &r.before, &r, s->at_ms[h], h - 1);
        }
        try_onsets(s, &r, h);
        try_bounces(s, &r, h);
        double odd = odd_level * s->added;
        if (h > 0 && s->echoed > 0.0) {
            const double since = s->at_ms[h] - s->at_ms[h - 1];
            const double drop = s->db[h - 1] - s->db[h];
            odd += since > 2.8 && since < 25.2 && drop > 5.5 && drop < 14.5
                       ? s->echoed / (22.0 * 8.0)
                       : 0.0;
        }
        r.cost += -log(odd);
        keep(s, h, &r, NOTHING);
    }
}

static void prune(struct search *s, int32_t h) {
    double best = INFINITY;
    for (size_t i = 0; i < s->next_count; i++) {
        best = fmin(best, s->next[i].cost);
    }
    size_t kept = 0;
    for (size_t i = 0; i < s->next_count; i++) {
        if (s->next[i].cost < best + give_up) {
            s->links[(size_t)h * BEAM + kept] = s->links[(size_t)h * BEAM + i];
            s->row[kept] = s->next[i];
            s->row[kept++].cost -= best;
        }
    }
    s->count = kept;
}

static void trace(const struct search *s, struct eh_match *matches) {
    const double count = (double)s->k->w->plan.due_count;
    size_t at = 0;
    double least = INFINITY;
    for (size_t i = 0; i < s->count; i++) {
        const double cost = s->row[i].cost + s->left_out * (count - s->row[i].decided);
        at = cost < least ? i : at;
        least = fmin(least, cost);
    }
    for (size_t h = s->hits; h-- > 0;) {
        const struct link *link = &s->links[h * BEAM + at];
        if (link->due != NOTHING) {
            matches[link->due] = (struct eh_match){.hit = (int32_t)h};
        }
        at = (size_t)link->parent;
    }
}

void knowing_match_presses(const struct knowing *k, struct eh_match *matches) {
    const size_t hits = k->reported->count;
    struct reading *rows = calloc((size_t)2 * BEAM, sizeof *rows);
    struct link *links = calloc((hits + 1) * BEAM, sizeof *links);
    double *numbers = malloc((2 * hits + 1) * sizeof *numbers);
    if (rows == NULL || links == NULL || numbers == NULL) {
        (void)fprintf(stderr, "no memory to match %zu hits\n", hits);
        abort();
    }
    for (size_t h = 0; h < hits; h++) {
        numbers[h] = (double)k->reported->hits[h].at_ns / 1e6;
        numbers[hits + h] = kit_level_db(k->kit, &k->reported->hits[h]);
    }
    const double span = fmax(written_ms(k->w, k->w->plan.length) - written_ms(k->w, 0), 1.0);
    struct search s = {
        .k = k,
        .at_ms = numbers,
        .db = numbers + hits,
        .hits = hits,
        .left_out = -log(fmax(k->player->missed, 0.002)),
        .added = fmax(k->player->extra, 0.002) * (double)k->w->plan.due_count / span,
        .echoed = k->kit->echoes,
        .row = rows,
        .next = rows + BEAM,
        .count = 1,
        .links = links,
    };
    rows[0].now.due = rows[0].before.due = NOTHING;
    for (size_t i = 0; i < k->w->plan.due_count; i++) {
        matches[i] = (struct eh_match){.hit = EH_NO_HIT};
    }
    for (size_t h = 0; h < hits; h++) {
        take(&s, (int32_t)h, added_level(&s, (int32_t)h));
        prune(&s, (int32_t)h);
    }
    trace(&s, matches);
    free(rows);
    free(links);
    free(numbers);
}
