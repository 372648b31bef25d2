/* How likely the pad would not have reported a stroke although it was played: from how the strokes
 * that were heard in such a place rise over the note before, and how near they come to it. */
#include <math.h>

#include "measure.h"

/* Two notes in a row: what the second one is to the first. A pad that reports one of them only
 * leaves a grace note missing, where there is one, else the later stroke. */
enum { GRACE_GRACE, GRACE_MAIN, MAIN_MAIN, ACCENTS = 3, KINDS = MAIN_MAIN + 2 * ACCENTS * ACCENTS };

/* Fewer pairs of a kind tell nothing. */
enum { ENOUGH = 8, POINTS = 12, ROUNDS = 12 };

/* No spread is taken for smaller. */
static const double least_db = 0.1;
static const double least_ms = 0.5;
static const double least_log = 0.05;

/* Nothing is hidden more surely than that. */
static const double surest = 0.98;

/* What was played, behind what was heard of it. */
struct normal {
    double middle, spread;
};

struct pairs {
    struct normal rise; /* dB */
    struct normal gap;  /* ms beside what is written; after a grace note, of its logarithm */
    size_t heard;
    bool known;
};

static int capped(uint8_t accent) {
    return accent < ACCENTS ? accent : ACCENTS - 1;
}

/* The kind of the pair that ends at ROW. */
static int kind_of(const struct measures *m, size_t row) {
    const struct measure_stroke *a = &m->row[row - 1];
    const struct measure_stroke *b = &m->row[row];
    if (!a->main) {
        return b->main ? GRACE_MAIN : GRACE_GRACE;
    }
    int second = b->kind == EH_KIND_SECOND ? 1 : 0;
    return MAIN_MAIN + (second * ACCENTS + capped(a->accent)) * ACCENTS + capped(b->accent);
}

static double apart(const struct measures *m, size_t row) {
    return m->row[row].at_ms - m->row[row - 1].at_ms;
}

/* Pairs of a row with the one before that the pad may make one. */
static bool is_pair(const struct measures *m, size_t row) {
    const struct measure_stroke *a = &m->row[row - 1];
    const struct measure_stroke *b = &m->row[row];
    return a->stretch == b->stretch && a->dynamic == b->dynamic && (b->main || !a->main) &&
           apart(m, row) < 2.0 * (double)m->in->pad->mask_until_ns / 1e6;
}

/* Notes the kind of the pair that ends at each row, KINDS where there is none. */
static void note_kinds(struct measures *m) {
    for (size_t i = 0; i < m->count; i++) {
        m->group[i] = (uint8_t)(i > 0 && is_pair(m, i) ? kind_of(m, i) : KINDS);
    }
}

static double gap_of(const struct pairs *p, double written, double deviate, bool grace) {
    double at = p->gap.middle + p->gap.spread * deviate;
    return fmax(grace ? exp(at) : written + at, 0.0);
}

/* Strokes scatter in time with longer tails than a normal distribution's: Student's with five. */
static void lay_deviates(double out[POINTS]) {
    for (int k = 0; k < POINTS; k++) {
        out[k] = eh_student_quantile((k + 0.5) / POINTS, 5.0);
    }
}

/* The chance that the second note is not as far above the first as the pad asks for. */
static double merges(const struct measures *m, const struct pairs *p, const double deviates[POINTS],
                     double written, bool grace) {
    double sum = 0.0;
    for (int k = 0; k < POINTS; k++) {
        double gap = gap_of(p, written, deviates[k], grace);
        double least = eh_pad_mask_db(m->in->pad, (int64_t)(gap * 1e6));
        if (isfinite(least)) {
            sum += eh_normal_cdf((least - p->rise.middle) / p->rise.spread);
        }
    }
    return fmin(sum / POINTS, surest);
}

/* A reading far off counts as one at this distance. */
static double bounded(double x, const struct normal *n) {
    const double bound = 3.0 * n->spread;
    return n->middle + fmin(fmax(x - n->middle, -bound), bound);
}

static struct normal start(const double *v, size_t n, double *room, double least) {
    for (size_t k = 0; k < n; k++) {
        room[k] = v[k];
    }
    struct normal s = {eh_median(room, n), 0.0};
    s.spread = fmax(eh_mad(room, n), least);
    return s;
}

/* Where a pair's rise is cut off: in spreads from the middle. */
static double cut_at(const struct measures *m, const struct pairs *p, size_t k, double written,
                     bool grace) {
    double gap = grace ? exp(m->b[k]) : fmax(written + m->b[k], 0.0);
    double least = eh_pad_mask_db(m->in->pad, (int64_t)(gap * 1e6));
    return fmin(fmax((least - p->rise.middle) / p->rise.spread, -8.0), 2.0);
}

/* One round of the likeliest normal distributions behind what the mask left: of rises, each cut off
 * where its gap has the mask (Cohen 1950, Ann. Math. Stat. 21, 557-569), and of gaps, each counting
 * for as many as its rise would have got through. */
static void refine(const struct measures *m, struct pairs *p, size_t n, double written,
                   bool grace) {
    double rise = 0.0;
    double rise_squares = 0.0;
    double rise_left = 0.0;
    double gap = 0.0;
    double gap_squares = 0.0;
    double weights = 0.0;
    double last = NAN; /* mostly the next one is the same: no mask reaches so far */
    double seen = 1.0;
    double hazard = 0.0;
    for (size_t k = 0; k < n; k++) {
        double z = cut_at(m, p, k, written, grace);
        if (z != last) {
            seen = eh_normal_cdf(-z);
            hazard = exp(-z * z / 2.0) / 2.506628274631 / seen; /* sqrt(2 pi) */
            last = z;
        }
        double x = bounded(m->a[k], &p->rise);
        double g = bounded(m->b[k], &p->gap);
        rise += x - p->rise.spread * hazard;
        rise_squares += (x - p->rise.middle) * (x - p->rise.middle);
        rise_left += fmax(1.0 + z * hazard, 0.1);
        gap += g / seen;
        gap_squares += (g - p->gap.middle) * (g - p->gap.middle) / seen;
        weights += 1.0 / seen;
    }
    p->rise.middle = rise / (double)n;
    p->rise.spread = fmax(sqrt(rise_squares / rise_left), least_db);
    p->gap.middle = gap / weights;
    p->gap.spread = fmax(sqrt(gap_squares / weights), grace ? least_log : least_ms);
}

static struct pairs learn(struct measures *m, int kind) {
    struct pairs p = {.known = false};
    bool grace = kind < MAIN_MAIN;
    double written = 0.0;
    size_t n = 0;
    for (size_t i = 1; i < m->count; i++) {
        const struct measure_stroke *a = &m->row[i - 1];
        const struct measure_stroke *b = &m->row[i];
        if (m->group[i] == kind && a->matched && b->matched) {
            double late = b->off_ms - a->off_ms;
            m->a[n] = b->level - a->level;
            m->b[n++] = grace ? log(fmax(apart(m, i) + late, 0.5)) : late;
            written += apart(m, i);
        }
    }
    p.heard = n;
    p.known = n >= ENOUGH;
    if (p.known) {
        p.rise = start(m->a, n, m->c, least_db);
        p.gap = start(m->b, n, m->c, grace ? least_log : least_ms);
        for (int round = 0; round < ROUNDS; round++) {
            refine(m, &p, n, written / (double)n, grace);
        }
    }
    return p;
}

/* What N readings of a normal distribution, cut off below its share CUT, leave unknown of that
 * share: by the variances and covariance of readings and their squares, which are the information
 * on middle and spread (Cohen 1950). */
static double share_variance(double cut, size_t n) {
    double z = eh_normal_quantile(fmin(fmax(cut, 1e-4), 0.9));
    double density = exp(-z * z / 2.0) / 2.506628274631; /* sqrt(2 pi) */
    double h = density / eh_normal_cdf(-z);
    double square = 1.0 + z * h;
    double a = square - h * h;
    double ab = 2.0 * h + z * z * h - h * square;
    double b = 3.0 + 3.0 * z * h + z * z * z * h - square * square;
    double determinant = fmax(a * b - ab * ab, 1e-6);
    double moved = (b - 2.0 * z * ab + z * z * a) / determinant;
    return density * density * moved / (double)n;
}

/* Fills the chances of a kind: of the grace note, or of the later stroke. Returns the variance that
 * what is not known of them leaves to the number of strokes that were left out. */
static double fill(struct measures *m, int kind, double *chance) {
    struct pairs p = learn(m, kind);
    double deviates[POINTS];
    double sum = 0.0;
    size_t n = 0;
    if (!p.known) {
        return 0.0;
    }
    lay_deviates(deviates);
    for (size_t i = 1; i < m->count; i++) {
        if (m->group[i] == kind) {
            size_t lost = kind < MAIN_MAIN ? i - 1 : i;
            double own = merges(m, &p, deviates, apart(m, i), kind < MAIN_MAIN);
            chance[lost] = fmax(chance[lost] < 0.0 ? 0.0 : chance[lost], own);
            sum += own;
            n++;
        }
    }
    double cut = n > 0 ? sum / (double)n : 0.0;
    double each = (double)p.heard / ((1.0 - cut) * (1.0 - cut));
    return n > 0 ? each * each * share_variance(cut, p.heard) : 0.0;
}

/* Where nothing of a kind was heard, what is known of the pad alone decides. */
static double plain(const struct measures *m, size_t i) {
    const struct measure_stroke *r = &m->row[i];
    if (r->matched) {
        return 0.0;
    }
    bool masked = r->kind == EH_KIND_SECOND && m->masked[r->hand] > 0;
    return !r->main || masked || r->hidden == HIDDEN_MASK ? surest : 0.0;
}

double measure_hidden_chances(struct measures *m, double *out_chance) {
    double variance = 0.0;
    note_kinds(m);
    for (size_t i = 0; i < m->count; i++) {
        out_chance[i] = -1.0;
    }
    for (int kind = 0; kind < KINDS && m->in->pad->mask_until_ns > 0; kind++) {
        double own = fill(m, kind, out_chance);
        variance += kind < MAIN_MAIN ? 0.0 : own;
    }
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        double mask = out_chance[i] < 0.0 ? plain(m, i) : out_chance[i];
        out_chance[i] = r->hidden == HIDDEN_FLOOR ? surest : mask;
    }
    return variance;
}
