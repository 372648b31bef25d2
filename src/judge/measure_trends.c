/* The two local trends of a run: of time, on the hand motion, and of level, on the taps. */
#include "measure.h"

#include <math.h>

enum { DOUBT_ROUNDS = 3 }; /* each finds the scale without the doubtful presses found before */

static void set_all(double *v, size_t n, double value) {
    for (size_t i = 0; i < n; i++) {
        v[i] = value;
    }
}

/* The readings of a row that WANTED picks go to A (x) and B (y), their rows to INDEX. */
static size_t pick(struct measures *m, bool of_time) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        if (r->matched && (of_time ? r->beat && !r->doubtful : r->tap)) {
            m->a[n] = r->at_ms;
            m->b[n] = of_time ? r->off_ms : r->level;
            m->group[n] = r->hand;
            m->index[n++] = (uint32_t)i;
        }
    }
    return n;
}

static struct measure_local lay(struct measures *m, size_t n, bool by_passage) {
    return (struct measure_local){.n = n,
                                  .x = m->a,
                                  .y = m->b,
                                  .row = m->index,
                                  .hand = m->group,
                                  .by_passage = by_passage,
                                  .trend = m->c,
                                  .rest = m->d,
                                  .lean = m->e,
                                  .weight = m->f};
}

/* TIME_REST and LEVEL_REST are free until they are filled: they lend room. */
static void time_trend(struct measures *m) {
    size_t n = pick(m, true);
    struct measure_local l = lay(m, n, false);
    measure_local_fit(m, &l, m->level_rest);
    for (int round = 0; round < DOUBT_ROUNDS && measure_mark_doubtful(m, l.row, l.rest, n, l.scale);
         round++) {
        n = pick(m, true);
        l = lay(m, n, false);
        measure_local_fit(m, &l, m->level_rest);
    }
    m->hand_time = l.left_less_right;
    set_all(m->time_rest, m->count, NAN);
    for (size_t k = 0; k < n; k++) {
        m->time_rest[m->index[k]] = l.rest[k];
    }
}

/* The taps' level at ROW from the readings around it, of the same passage; NAN without any. K is
 * the first reading at or after the row. */
static double level_around(const struct measures *m, const struct measure_local *l, size_t row,
                           size_t k) {
    int32_t passage = m->row[row].passage;
    bool after = k < l->n && m->row[l->row[k]].passage == passage;
    bool before = k > 0 && m->row[l->row[k - 1]].passage == passage;
    if (!after) {
        return before ? l->trend[k - 1] : NAN;
    }
    if (!before || l->x[k] <= l->x[k - 1]) {
        return l->trend[k];
    }
    double share = (m->row[row].at_ms - l->x[k - 1]) / (l->x[k] - l->x[k - 1]);
    return l->trend[k - 1] + share * (l->trend[k] - l->trend[k - 1]);
}

void measure_level_trend(struct measures *m) {
    size_t n = pick(m, false);
    struct measure_local l = lay(m, n, true);
    measure_local_fit(m, &l, m->level_rest);
    m->hand_level = l.left_less_right;
    double difference = isfinite(m->hand_level.value) ? m->hand_level.value : 0.0;
    set_all(m->level_rest, m->count, NAN);
    size_t k = 0;
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        while (k < n && l.row[k] < i) {
            k++;
        }
        if (k < n && l.row[k] == i) {
            m->level_rest[i] = l.rest[k];
        } else if (r->matched) {
            double own = r->hand == 0 ? difference / 2.0 : -difference / 2.0;
            m->level_rest[i] = r->level - own - level_around(m, &l, i, k);
        }
    }
    m->tap_spread = eh_spread(l.rest, n, MEASURE_CONFIDENCE).value;
}

void measure_trends(struct measures *m) {
    time_trend(m);
    measure_level_trend(m);
}
