/* Strokes that came where no follower could know them. */
#include <math.h>

#include "measure.h"

/* Extra hits between two hits; at most MOST are kept in OUT. */
static size_t extras_between(const struct measures *m, int32_t from, int32_t to, int32_t *out,
                             size_t most) {
    size_t n = 0;
    for (int32_t h = from + 1; h < to; h++) {
        if (m->in->fates[h].kind == EH_FATE_EXTRA) {
            if (n < most) {
                out[n] = h;
            }
            n++;
        }
    }
    return n;
}

/* Rows FROM .. TO - 1 are missed, those before and after were heard. */
static void pair(struct measures *m, size_t from, size_t to) {
    enum { MOST = 4 };
    int32_t hits[MOST];
    const struct eh_match *before = &m->in->matches[from - 1];
    const struct eh_match *after = &m->in->matches[to];
    size_t missed = to - from;
    if (missed > MOST || m->row[from - 1].stretch != m->row[to].stretch ||
        extras_between(m, before->hit, after->hit, hits, MOST) != missed) {
        return;
    }
    for (size_t k = 0; k < missed; k++) {
        struct measure_stroke *r = &m->row[from + k];
        const struct eh_hit *hit = &m->in->hits[hits[k]];
        double at = (double)(hit->at_ns - m->in->plan->start_ns) / 1e6;
        r->lost_ms = at - r->at_ms;
        r->level = eh_pad_level_db(m->in->pad, eh_hit_velocity(hit));
    }
}

void measure_find_lost(struct measures *m) {
    size_t heard = m->count; /* the last row that was heard */
    for (size_t i = 0; i < m->count; i++) {
        if (!m->row[i].matched) {
            continue;
        }
        if (heard < m->count && i > heard + 1) {
            pair(m, heard + 1, i);
        }
        heard = i;
    }
}
