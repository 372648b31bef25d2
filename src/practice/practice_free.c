/* The course of a practice without a click: what the player's own tempo says of its end. */
#include "beats.h"
#include "heard.h"

/* A bar further back or much further on is only reported once so many of the next bar's strokes
 * were heard: the likeliest place may waver by a stroke or two. */
enum { SURE_STROKES = 3 };

static int64_t ticks_ns(eh_ticks ticks, double bpm) {
    return (int64_t)((double)ticks / (double)EH_TICKS_PER_QUARTER * 60.0e9 / bpm);
}

static const struct eh_plan_bar *bar_of(const struct eh_practice *practice) {
    return &practice->plan.bars[practice->place.in.bar];
}

static int64_t silence_ns(const struct eh_practice *practice) {
    const struct eh_free_place *place = &practice->place;
    if (!place->known) {
        return practice->silence_ns;
    }
    const struct eh_plan_bar *bar = bar_of(practice);
    return eh_practice_silence_ns(
        ticks_ns(2 * eh_metre_ticks(bar->beats, bar->unit), place->in.bpm));
}

static int64_t grace_ns(const struct eh_practice *practice) {
    const struct eh_plan_bar *bar = bar_of(practice);
    return eh_practice_grace_ns(
        ticks_ns(eh_beat_ticks(bar->beats, bar->unit), practice->place.in.bpm));
}

static int64_t later(int64_t a, int64_t b) {
    return a > b ? a : b;
}

/* Near the end, or at the last stroke: whose last stroke lies far from it has not played to the
 * end, even if by now he could have. */
static bool has_ended(const struct eh_practice *practice) {
    const struct eh_free_place *place = &practice->place;
    if (!place->known) {
        return false;
    }
    const bool near =
        place->next_ns == INT64_MAX || place->end_ns - place->at_ns <= silence_ns(practice);
    return near &&
           practice->now_ns >= later(place->end_ns, practice->last_hit_ns) + grace_ns(practice);
}

/* A written rest is no silence: it counts from the stroke that should come next. */
static bool is_silent(const struct eh_practice *practice) {
    const struct eh_free_place *place = &practice->place;
    const bool more = place->known && place->next_ns != INT64_MAX;
    const int64_t from =
        more ? later(place->next_ns, practice->last_hit_ns) : practice->last_hit_ns;
    return practice->now_ns - from >= silence_ns(practice);
}

void eh_practice_follow(struct eh_practice *practice, int64_t now_ns,
                        const struct eh_free_place *place) {
    practice->now_ns = later(now_ns, practice->now_ns);
    practice->place = *place;
    if (practice->hit_count == 0) {
        if (!practice->uncounted &&
            practice->now_ns >= practice->plan.end_ns + practice->grace_ns) {
            eh_practice_stop(practice, EH_END_NOTHING);
        }
    } else if (has_ended(practice)) {
        eh_practice_stop(practice, EH_END_EXERCISE);
    } else if (is_silent(practice)) {
        eh_practice_stop(practice, EH_END_SILENCE);
    }
}

void eh_practice_wait(struct eh_practice *practice, int64_t waited_ns) {
    if (practice->hit_count == 0 && waited_ns >= EH_PRACTICE_WAIT_NS) {
        eh_practice_stop(practice, EH_END_NOTHING);
    }
}

static bool report(struct eh_practice *practice, const struct eh_free_bar *bar,
                   struct eh_practice_event *out_event) {
    if (bar->strokes == 0 || (practice->heard.strokes > 0 && practice->heard.bar == bar->bar)) {
        return false;
    }
    practice->heard = *bar;
    *out_event = (struct eh_practice_event){.kind = EH_EVENT_BAR_HEARD,
                                            .pass = practice->plan.bars[bar->bar].pass,
                                            .bar = bar->bar,
                                            .heard = *bar};
    return true;
}

bool eh_practice_next_heard(struct eh_practice *practice, struct eh_practice_event *out_event) {
    const struct eh_free_place *place = &practice->place;
    const uint32_t next = practice->heard.strokes > 0 ? practice->heard.bar + 1 : 0;
    if (practice->finished && practice->heard.strokes > 0 && practice->heard.bar == place->in.bar) {
        return false; /* it was the last one */
    }
    const bool sure = place->left.bar == next || place->in.strokes >= SURE_STROKES;
    return (sure && report(practice, &place->left, out_event)) ||
           (practice->finished && report(practice, &place->in, out_event));
}
