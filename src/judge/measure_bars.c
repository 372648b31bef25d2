/* Where in the score a fault shows: notes by written bar, and bars that go their own way. */
#include <math.h>
#include <string.h>

#include "measure.h"

void measure_bars_clear(struct measures *m) {
    memset(m->bar_sum, 0, ((size_t)m->bars + 1) * sizeof *m->bar_sum);
    memset(m->bar_count, 0, ((size_t)m->bars + 1) * sizeof *m->bar_count);
}

void measure_bars_note(struct measures *m, size_t row, double badness) {
    int32_t bar = m->row[row].bar;
    m->bar_sum[bar] += badness;
    m->bar_count[bar]++;
}

void measure_bars_means_to_sums(struct measures *m) {
    for (int32_t bar = 0; bar <= m->bars; bar++) {
        m->bar_count[bar] = m->bar_count[bar] > 0;
    }
}

static double bar_mean(const struct measures *m, int32_t bar) {
    return m->bar_count[bar] > 0 ? m->bar_sum[bar] / m->bar_count[bar] : -INFINITY;
}

static void insert_bar(struct eh_finding *f, int32_t bar) {
    uint32_t at = f->bar_count++;
    for (; at > 0 && f->bars[at - 1] > bar; at--) {
        f->bars[at] = f->bars[at - 1];
    }
    f->bars[at] = bar;
}

/* More bars than these are not a place to look any more. */
enum { WORST_BARS = 6 };

void measure_bars_give(struct measures *m, double least, struct eh_finding *finding) {
    finding->bar_count = 0;
    while (finding->bar_count < WORST_BARS) {
        int32_t worst = -1;
        for (int32_t bar = 0; bar <= m->bars; bar++) {
            if (bar_mean(m, bar) >= least && (worst < 0 || bar_mean(m, bar) > bar_mean(m, worst))) {
                worst = bar;
            }
        }
        if (worst < 0) {
            return;
        }
        insert_bar(finding, worst);
        m->bar_count[worst] = 0;
    }
}

/* ---- Bars apart ----
 *
 * A run that is fine as a whole may hold a bar or two that surely are not. So many rows of bars are
 * looked at that 90 % would cry wolf: all of them together are given one chance in a hundred. */

static const double wolf = 0.01;
/* A mean of readings with human tails, clipped, errs by so much more than normal ones would. */
static const double tails = 1.2;
/* Readings further beyond the limits than this many scales count as if they stood there. */
static const double clip = 3.0;

static const int32_t lengths[] = {1, 2, 4};

enum { LENGTHS = sizeof lengths / sizeof lengths[0] };

struct row_of_bars {
    double sum;
    uint32_t n;
};

static struct row_of_bars add_up(const struct measures *m, int32_t from, int32_t length) {
    struct row_of_bars r = {0.0, 0};
    for (int32_t bar = from; bar < from + length; bar++) {
        r.sum += m->bar_sum[bar];
        r.n += m->bar_count[bar];
    }
    return r;
}

/* Long enough to speak, and not itself half of the run. */
static bool speaks(const struct measures *m, const struct row_of_bars *r, uint32_t all) {
    return (double)r->n >= m->style->least_n && 2 * r->n <= all;
}

static size_t looks(const struct measures *m, uint32_t all) {
    size_t count = 0;
    for (int k = 0; k < LENGTHS; k++) {
        for (int32_t bar = 0; bar + lengths[k] <= m->bars + 1; bar++) {
            struct row_of_bars r = add_up(m, bar, lengths[k]);
            count += speaks(m, &r, all) ? 1 : 0;
        }
    }
    return count;
}

static uint32_t note_all(struct measures *m, measure_reader read, const void *what,
                         const struct measure_limits *l) {
    double reach = clip * l->scale;
    double most = isnan(l->high) ? INFINITY : l->high + reach;
    double least = isnan(l->low) ? -INFINITY : l->low - reach;
    uint32_t all = 0;
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        double reading = read(m, i, what);
        if (isfinite(reading)) {
            measure_bars_note(m, i, fmin(fmax(reading, least), most));
            all++;
        }
    }
    return all;
}

bool measure_bars_apart(struct measures *m, measure_reader read, const void *what,
                        const struct measure_limits *l, struct measure_window *out) {
    uint32_t all = note_all(m, read, what, l);
    size_t count = looks(m, all);
    double worst = 0.0;
    if (count == 0 || !isfinite(l->scale)) {
        return false;
    }
    double wide = eh_normal_quantile(1.0 - wolf / 2.0 / (double)count);
    for (int k = 0; k < LENGTHS; k++) {
        for (int32_t bar = 0; bar + lengths[k] <= m->bars + 1; bar++) {
            struct row_of_bars r = add_up(m, bar, lengths[k]);
            if (!speaks(m, &r, all)) {
                continue;
            }
            double mean = r.sum / r.n;
            double half = wide * tails * l->scale / sqrt(r.n);
            double over = fmax(isnan(l->high) ? -INFINITY : mean - half - l->high,
                               isnan(l->low) ? -INFINITY : l->low - mean - half);
            /* Several rows hold the same bad bar: the one that is sure by most is told. */
            if (over > worst) {
                worst = over;
                *out = (struct measure_window){{mean, mean - half, mean + half, r.n},
                                               bar,
                                               bar + lengths[k] - 1,
                                               mean > l->high};
            }
        }
    }
    return worst > 0.0;
}

void measure_window_give(const struct measure_window *w, struct eh_finding *finding) {
    finding->bar_count = 0;
    for (int32_t bar = w->from; bar <= w->to; bar++) {
        finding->bars[finding->bar_count++] = bar;
    }
}
