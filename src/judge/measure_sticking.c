/* Sticking: whether the hand that is written played, where the pads tell the hands apart. */
#include <math.h>

#include "measure.h"
#include "verdict.h"

static bool tells_hands(const struct eh_pad *pad) {
    bool left = false;
    bool right = false;
    for (size_t note = 0; note < sizeof pad->zones; note++) {
        left = left || pad->zones[note] == EH_ZONE_LEFT;
        right = right || pad->zones[note] == EH_ZONE_RIGHT;
    }
    return left && right;
}

struct hands {
    size_t heard, other; /* strokes on a pad of one hand; of these played with the other hand */
};

static struct hands count_hands(struct measures *m) {
    struct hands c = {0, 0};
    measure_bars_clear(m);
    for (size_t i = 0; i < m->count; i++) {
        if (!m->row[i].matched) {
            continue;
        }
        uint8_t note = m->in->hits[m->in->matches[i].hit].note & 127;
        uint8_t zone = m->in->pad->zones[note];
        if (zone == EH_ZONE_LEFT || zone == EH_ZONE_RIGHT) {
            bool other = (zone == EH_ZONE_RIGHT) != (m->row[i].hand == EH_HAND_RIGHT);
            c.heard++;
            c.other += other ? 1 : 0;
            if (other) {
                measure_bars_note(m, i, 1.0);
            }
        }
    }
    return c;
}

static void say_sticking(struct eh_finding *f, const struct hands *c) {
    struct verdict_words w = verdict_say(f);
    if (c->heard == 0) {
        say(&w, "sticking: no stroke came from a pad that only one hand plays");
        return;
    }
    say_count(&w, (uint32_t)c->other, "stroke was", "strokes were");
    say(&w, " played with the other hand than written, where ");
    say_range(&w, NAN, f->limit_high, 0, "");
    say(&w, " may be");
    say_basis(&w, "stroke on pads of one hand", "strokes on pads of one hand");
    if (c->other == c->heard) {
        say(&w, "; all of them: you lead with the other hand, or the two pads are named the wrong "
                "way round");
    }
    if (f->fault == EH_FAULT_UNCLEAR) {
        say_reason(&w, REASON_FEW, 0, "");
    }
}

/* As many may be wrong as may be missed: a stick that catches the other pad's edge is no habit. */
void measure_sticking(struct measures *m) {
    if (!tells_hands(m->in->pad)) {
        return;
    }
    struct eh_finding *f = verdict_add(m->out, EH_ASPECT_STICKING, EH_SIDE_BOTH);
    struct hands c = count_hands(m);
    double limit = ceil(m->style->missed_share * (double)c.heard);
    if (c.heard > 0) {
        double n = (double)c.other;
        struct eh_estimate e = {n, n, n, c.heard};
        verdict_numbers(f, &e, 0.0, limit, "strokes");
        measure_bars_means_to_sums(m);
        measure_bars_give(m, 1.0, f);
    }
    if ((double)c.heard >= m->style->least_n) {
        if ((double)c.other > limit) {
            verdict_fault(f, EH_VERDICT_OFF, EH_DIRECTION_NONE);
        } else {
            verdict_fine(f, EH_VERDICT_AS_WRITTEN);
        }
    }
    say_sticking(f, &c);
}
