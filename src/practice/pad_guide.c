#include "evenhand/pad_guide.h"

#include <string.h>

static void tell(struct eh_pad_guide *g, struct eh_guide_event event) {
    if (g->event_count < EH_GUIDE_EVENTS) {
        g->events[(g->event_first + g->event_count++) % EH_GUIDE_EVENTS] = event;
    }
}

static void count_anew(struct eh_pad_guide *g) {
    memset(g->counts, 0, sizeof g->counts);
    g->total = 0;
    g->row = 0;
}

static void ask(struct eh_pad_guide *g, int part, int64_t now_ns) {
    g->part = part > g->last ? EH_GUIDE_NOTHING : part;
    g->resting = false;
    g->since_ns = now_ns;
    memset(g->told, 0, sizeof g->told);
    count_anew(g);
    tell(g,
         (struct eh_guide_event){.kind = g->part == EH_GUIDE_NOTHING ? EH_GUIDE_OVER : EH_GUIDE_ASK,
                                 .part = g->part});
}

void eh_pad_guide_init(struct eh_pad_guide *guide, int64_t now_ns, bool controls) {
    *guide = (struct eh_pad_guide){.last = controls ? EH_GUIDE_PARTS - 1 : EH_GUIDE_CONTROLS,
                                   .last_ns = now_ns};
    ask(guide, EH_ZONE_HEAD, now_ns);
}

/* ---- A stroke ---- */

static void settle(struct eh_pad_guide *g, int least) {
    for (int note = 0; note < 128; note++) {
        if (g->counts[note] >= least) {
            g->owners[note] = (uint8_t)g->part;
            tell(g, (struct eh_guide_event){
                        .kind = EH_GUIDE_SETTLED, .part = g->part, .note = (uint8_t)note});
        }
    }
    g->resting = true;
}

/* Several notes that take turns are one part's, but for a control's; notes that came once or twice
 * are slips. */
static void settle_several(struct eh_pad_guide *g) {
    for (int note = 0; note < 128; note++) {
        if (g->counts[note] > 0 &&
            (g->counts[note] < EH_GUIDE_EACH || g->part > EH_GUIDE_CONTROLS)) {
            tell(g, (struct eh_guide_event){.kind = EH_GUIDE_MIXED, .part = g->part});
            count_anew(g);
            return;
        }
    }
    settle(g, EH_GUIDE_EACH);
}

static void count_stroke(struct eh_pad_guide *g, uint8_t note) {
    g->row = g->row > 0 && g->row_note == note ? g->row + 1 : 1;
    g->row_note = note;
    g->counts[note]++;
    g->total++;
    tell(g, (struct eh_guide_event){
                .kind = EH_GUIDE_HEARD, .part = g->part, .note = note, .count = g->row});
    if (g->row == EH_GUIDE_IN_A_ROW) {
        count_anew(g);
        g->counts[note] = EH_GUIDE_IN_A_ROW;
        settle(g, EH_GUIDE_IN_A_ROW);
    } else if (g->total == EH_GUIDE_SEVERAL) {
        settle_several(g);
    }
}

static void close_stroke(struct eh_pad_guide *g) {
    const uint8_t note = g->stroke.note;
    g->open = false;
    if (g->part == EH_GUIDE_NOTHING || g->resting) {
        return;
    }
    g->anything = true;
    if (g->owners[note] == EH_GUIDE_NOTHING) {
        g->since_ns = g->first.at_ns;
        count_stroke(g, note);
    } else if (!g->told[note]) {
        g->told[note] = 1;
        tell(g,
             (struct eh_guide_event){
                 .kind = EH_GUIDE_TAKEN, .part = g->part, .owner = g->owners[note], .note = note});
    }
}

void eh_pad_guide_hit(struct eh_pad_guide *guide, const struct eh_hit *hit) {
    if (hit->note > 127) {
        return;
    }
    guide->last_ns = hit->at_ns;
    if (guide->open && hit->at_ns - guide->first.at_ns <= EH_GUIDE_STROKE_NS) {
        if (hit->velocity > guide->stroke.velocity) {
            guide->stroke = *hit;
        }
        return;
    }
    eh_pad_guide_advance(guide, hit->at_ns);
    guide->open = true;
    guide->first = *hit;
    guide->stroke = *hit;
}

/* ---- Time ---- */

void eh_pad_guide_advance(struct eh_pad_guide *guide, int64_t now_ns) {
    if (guide->open && now_ns - guide->first.at_ns > EH_GUIDE_STROKE_NS) {
        close_stroke(guide);
    }
    if (guide->part == EH_GUIDE_NOTHING || guide->open) {
        return;
    }
    if (guide->resting) {
        if (now_ns - guide->last_ns >= EH_GUIDE_REST_NS) {
            ask(guide, guide->part + 1, now_ns);
        }
        return;
    }
    const int64_t patience = guide->anything || guide->part != (int)EH_ZONE_HEAD
                                 ? EH_GUIDE_PATIENCE_NS
                                 : EH_GUIDE_FIRST_PATIENCE_NS;
    if (now_ns - guide->since_ns >= patience) {
        tell(guide, (struct eh_guide_event){.kind = EH_GUIDE_SKIPPED, .part = guide->part});
        ask(guide, guide->part + 1, now_ns);
    }
}

/* ---- The outcome ---- */

bool eh_pad_guide_next(struct eh_pad_guide *guide, struct eh_guide_event *out_event) {
    if (guide->event_count == 0) {
        return false;
    }
    *out_event = guide->events[guide->event_first];
    guide->event_first = (guide->event_first + 1) % EH_GUIDE_EVENTS;
    guide->event_count--;
    return true;
}

bool eh_pad_guide_is_over(const struct eh_pad_guide *guide) {
    return guide->part == EH_GUIDE_NOTHING;
}

static bool is_zone(uint8_t part) {
    return part != EH_GUIDE_NOTHING && part <= EH_GUIDE_CONTROLS;
}

size_t eh_pad_guide_found(const struct eh_pad_guide *guide) {
    size_t count = 0;
    for (int note = 0; note < 128; note++) {
        count += is_zone(guide->owners[note]);
    }
    return count;
}

void eh_pad_guide_apply(const struct eh_pad_guide *guide, struct eh_pad *pad) {
    if (guide->last > EH_GUIDE_CONTROLS) {
        memset(pad->controls, 0, sizeof pad->controls);
    }
    for (int note = 0; note < 128; note++) {
        const uint8_t part = guide->owners[note];
        pad->zones[note] = is_zone(part) ? part : EH_ZONE_NONE;
        const enum eh_control before = eh_pad_control(pad, (uint8_t)note);
        if (is_zone(part) && before != EH_CONTROL_NONE) {
            pad->controls[before] = 0;
        } else if (part > EH_GUIDE_CONTROLS) {
            pad->controls[eh_guide_control(part)] = (uint8_t)(note + 1);
        }
    }
}
