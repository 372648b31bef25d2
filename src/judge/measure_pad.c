/* What the pad keeps to itself: how sure its levels are, and which strokes it does not report. */
#include <math.h>

#include "measure.h"

/* How far the map's dB may be stretched or squeezed: a factor whose logarithm has this SD. Its
 * limits and the reading's own are combined side by side (Zou & Donner 2008, Stat. Med. 27,
 * 1693-1702), so that to stretch and to squeeze are as likely. */
struct eh_estimate measure_widen_scale(const struct measures *m, struct eh_estimate e) {
    double reach = 1.645 * m->in->pad->levels.scale_sd;
    double away = e.value * expm1(reach);
    double nearer = e.value * -expm1(-reach);
    if (away != 0.0) {
        e.low = e.value - hypot(e.value - e.low, away > 0.0 ? nearer : away);
        e.high = e.value + hypot(e.high - e.value, away > 0.0 ? away : nearer);
    }
    return e;
}

double measure_pad_hides(const struct measures *m, double first_level, double gap_ms) {
    const struct eh_pad *pad = m->in->pad;
    if (!isfinite(first_level) || !(gap_ms * 1e6 < (double)pad->mask_until_ns)) {
        return m->floor_db;
    }
    return fmax(m->floor_db, first_level + eh_pad_mask_db(pad, (int64_t)(gap_ms * 1e6)));
}

/* ---- Single strokes that may have been hidden ---- */

/* Unmarked, plain accents, strong accents. */
enum { MARKS = 3 };

/* Strokes of an accent and a written level, as they were heard. */
struct heard {
    size_t written, heard;
    double least, tenth, middle, top_tenth; /* levels; NAN: nothing was heard */
};

/* A dynamic mark on the default map (stick heights, common practice, no source). */
static const double mark_db = 3.0;
/* A floor cuts off strokes whose softest tenth comes this near to it. */
static const double near_db = 3.0;

static size_t class_of(const struct measure_stroke *r) {
    return r->accent < MARKS ? r->accent : MARKS - 1;
}

static struct heard listen(struct measures *m, size_t accent, int dynamic) {
    struct heard h = {0, 0, NAN, NAN, NAN, NAN};
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        if (r->main && class_of(r) == accent && r->dynamic == dynamic) {
            h.written++;
            if (r->matched) {
                m->a[h.heard++] = r->level;
            }
        }
    }
    if (h.heard > 0) {
        h.middle = eh_select(m->a, h.heard, h.heard / 2);
        h.tenth = eh_select(m->a, h.heard, h.heard / 10);
        h.top_tenth = eh_select(m->a, h.heard, h.heard - 1 - h.heard / 10);
        h.least = eh_select(m->a, h.heard, 0);
    }
    return h;
}

/* A row of strokes of which many are missing, and of which those heard reach less far down from
 * their middle than their top tenth reaches up, is cut off from below: of 16 normal readings the
 * least lies 1.8 scales below the middle, the top tenth 1.3 above. */
static bool cut_off(const struct heard *h) {
    enum { ENOUGH = 16 };
    return h->heard >= ENOUGH && 20 * (h->written - h->heard) > h->written &&
           h->middle - h->least < h->top_tenth - h->middle;
}

/* Nearly all of a level missing although the louder ones came. */
static bool silent(const struct heard *h, const struct heard *louder) {
    enum { ENOUGH = 8 };
    return h->written >= ENOUGH && 5 * h->heard < h->written && louder->written > 0 &&
           10 * louder->heard > 9 * louder->written;
}

/* Goes through the written levels of an accent from loud to soft. Where nothing was heard of a
 * level, the nearest louder one tells where it must have lain. */
static void expect(struct measures *m, size_t accent, double *tenth) {
    struct heard louder = {0, 0, NAN, NAN, NAN, NAN};
    double above = NAN;
    bool known = m->in->pad->floor_velocity > 0.0;
    for (int dynamic = EH_DYNAMIC_COUNT - 1; dynamic >= 0; dynamic--) {
        tenth[dynamic] = above;
        if ((m->census.marks >> dynamic & 1u) == 0) {
            above -= mark_db;
            continue;
        }
        struct heard h = listen(m, accent, dynamic);
        if (!known && cut_off(&h)) {
            m->floor_db = fmax(m->floor_db, h.least);
        } else if (!known && silent(&h, &louder)) {
            m->floor_db = fmax(m->floor_db, h.heard > 0 ? h.least : above);
        }
        tenth[dynamic] = h.heard > 0 ? h.tenth : above;
        above = tenth[dynamic] - mark_db;
        louder = h.written > 0 ? h : louder;
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
    if (expected < m->floor_db + near_db) {
        return HIDDEN_FLOOR;
    }
    return expected < measure_pad_hides(m, level, gap) ? HIDDEN_MASK : HIDDEN_NOT;
}

static bool any_missed(const struct measures *m) {
    bool any = false;
    for (size_t i = 0; i < m->count && !any; i++) {
        any = m->row[i].main && !m->row[i].matched;
    }
    return any;
}

void measure_mark_hidden(struct measures *m) {
    double tenth[MARKS][EH_DYNAMIC_COUNT];
    const struct eh_pad *pad = m->in->pad;
    size_t before = m->count;
    m->floor_db = pad->floor_velocity > 0.0 ? eh_pad_level_db(pad, pad->floor_velocity) : -INFINITY;
    if (!any_missed(m)) {
        return;
    }
    for (size_t accent = 0; accent < MARKS; accent++) {
        expect(m, accent, tenth[accent]);
    }
    for (size_t i = 0; i < m->count; i++) {
        struct measure_stroke *r = &m->row[i];
        if (r->matched) {
            before = i;
        } else if (r->main) {
            r->hidden = hidden_at(m, i, before, tenth[class_of(r)][r->dynamic]);
        }
    }
}
