/* What the pad keeps to itself: how sure its levels are, and which strokes it does not report. */
#include <math.h>

#include "measure.h"

/* How far the map's dB may be stretched or squeezed: an error in proportion to a difference. */
struct eh_estimate measure_widen_scale(const struct measures *m, struct eh_estimate e) {
    double add = 1.645 * m->in->pad->levels.scale_sd * e.value;
    if (add != 0.0) {
        e.low = e.value - hypot(e.value - e.low, add);
        e.high = e.value + hypot(e.high - e.value, add);
    }
    return e;
}

double measure_pad_floor(const struct eh_pad *pad) {
    return pad->floor_velocity > 0.0 ? eh_pad_level_db(pad, pad->floor_velocity) : -INFINITY;
}

double measure_pad_hides(const struct measures *m, double first_level, double gap_ms) {
    const struct eh_pad *pad = m->in->pad;
    double floor = measure_pad_floor(pad);
    if (!isfinite(first_level) || !(gap_ms * 1e6 < (double)pad->mask_until_ns)) {
        return floor;
    }
    return fmax(floor, first_level + eh_pad_mask_db(pad, (int64_t)(gap_ms * 1e6)));
}

/* ---- Single strokes that may have been hidden ---- */

/* Unmarked, plain accents, strong accents. */
enum { MARKS = 3 };

/* The softest tenth of what was heard of an accent and a written level; NAN: nothing was. */
struct expected {
    double low[MARKS][EH_DYNAMIC_COUNT];
};

/* A dynamic mark on the default map (stick heights, common practice, no source). */
static const double mark_db = 3.0;

static size_t class_of(const struct measure_stroke *r) {
    return r->accent < MARKS ? r->accent : MARKS - 1;
}

static double soft_tenth(struct measures *m, size_t accent, int dynamic) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        if (r->main && r->matched && class_of(r) == accent && r->dynamic == dynamic) {
            m->a[n++] = r->level;
        }
    }
    return n > 0 ? eh_select(m->a, n, n / 10) : NAN;
}

/* Where nothing was heard of a level, the nearest louder one tells. */
static void expect(struct measures *m, struct expected *e) {
    for (size_t accent = 0; accent < MARKS; accent++) {
        double louder = NAN;
        for (int dynamic = EH_DYNAMIC_COUNT - 1; dynamic >= 0; dynamic--) {
            bool written = (m->census.marks >> dynamic & 1u) != 0;
            double heard = written ? soft_tenth(m, accent, dynamic) : NAN;
            e->low[accent][dynamic] = isfinite(heard) ? heard : louder;
            louder = e->low[accent][dynamic] - mark_db;
        }
    }
}

static uint8_t hidden_at(const struct measures *m, size_t row, size_t before, double expected) {
    double level = NAN;
    double gap = INFINITY;
    if (before < m->count) {
        const struct measure_stroke *b = &m->row[before];
        level = b->level;
        gap = m->row[row].at_ms + m->out->offset_ms - b->at_ms - b->off_ms;
    }
    if (expected < measure_pad_floor(m->in->pad)) {
        return HIDDEN_FLOOR;
    }
    return expected < measure_pad_hides(m, level, gap) ? HIDDEN_MASK : HIDDEN_NOT;
}

void measure_mark_hidden(struct measures *m) {
    struct expected e;
    size_t before = m->count;
    bool ready = false;
    for (size_t i = 0; i < m->count; i++) {
        struct measure_stroke *r = &m->row[i];
        if (r->matched) {
            before = i;
        } else if (r->main) {
            if (!ready) {
                expect(m, &e);
                ready = true;
            }
            r->hidden = hidden_at(m, i, before, e.low[class_of(r)][r->dynamic]);
        }
    }
}
