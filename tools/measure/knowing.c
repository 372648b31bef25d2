#include "knowing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum step { MATCHED, LEFT_OUT, ADDED };

bool knowing_presses(const struct written *w) {
    for (size_t i = 0; i < w->plan.due_count; i++) {
        if (written_stroke(w, i)->kind == EH_KIND_BUZZ) {
            return true;
        }
    }
    return false;
}

/* Minus the logarithm of the density of an error, after Student's t with two degrees of freedom:
 * its tails are long enough for every kind of stroke. */
static double surprise(double error_ms, double spread_ms) {
    const double sd = fmax(spread_ms, 1.0);
    const double z = error_ms / sd;
    return log(2.828427 * sd) + 1.5 * log1p(0.5 * z * z);
}

struct table {
    size_t strokes, hits;
    double *cost;  /* (strokes + 1) x (hits + 1) */
    uint8_t *step; /* how each was reached */
};

static size_t cell(const struct table *t, size_t stroke, size_t hit) {
    return stroke * (t->hits + 1) + hit;
}

static void reach(struct table *t, size_t at, double cost, enum step step) {
    if (cost < t->cost[at]) {
        t->cost[at] = cost;
        t->step[at] = (uint8_t)step;
    }
}

static void fill(struct table *t, const struct blows *blows, const struct reported *reported,
                 double left_out, double added) {
    for (size_t i = 0; i <= t->strokes; i++) {
        for (size_t h = 0; h <= t->hits; h++) {
            const size_t at = cell(t, i, h);
            t->cost[at] = i + h == 0 ? 0.0 : INFINITY;
            if (i > 0) {
                reach(t, at, t->cost[cell(t, i - 1, h)] + left_out, LEFT_OUT);
            }
            if (h > 0) {
                reach(t, at, t->cost[cell(t, i, h - 1)] + added, ADDED);
            }
            if (i > 0 && h > 0) {
                const double at_ms = (double)reported->hits[h - 1].at_ns / 1e6;
                const double cost = surprise(at_ms - blows->known[i - 1], blows->error[i - 1]);
                reach(t, at, t->cost[cell(t, i - 1, h - 1)] + cost, MATCHED);
            }
        }
    }
}

static void trace(const struct table *t, struct eh_match *matches) {
    size_t i = t->strokes;
    size_t h = t->hits;
    while (i + h > 0) {
        const uint8_t step = t->step[cell(t, i, h)];
        i -= step != ADDED;
        h -= step != LEFT_OUT;
        if (step != ADDED) {
            matches[i] = (struct eh_match){.hit = step == MATCHED ? (int32_t)h : EH_NO_HIT};
        }
    }
}

void knowing_match(const struct knowing *k, struct eh_match *matches) {
    const struct written *w = k->w;
    struct table t = {.strokes = w->plan.due_count, .hits = k->reported->count};
    const double added = k->player->extra + k->kit->echoes;
    const size_t cells = (t.strokes + 1) * (t.hits + 1);
    t.cost = malloc(cells * sizeof *t.cost);
    t.step = calloc(cells, 1);
    if (t.cost == NULL || t.step == NULL) {
        (void)fprintf(stderr, "no memory to match %zu hits\n", t.hits);
        abort();
    }
    const double span = written_ms(w, w->plan.length) - written_ms(w, 0);
    const double a_ms = fmax(added, 0.002) * (double)t.strokes / fmax(span, 1.0);
    fill(&t, k->blows, k->reported, -log(fmax(k->player->missed, 0.002)), -log(a_ms));
    trace(&t, matches);
    free(t.cost);
    free(t.step);
}
