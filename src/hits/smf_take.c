/* From a file's events to a take: ticks become nanoseconds and ticks of our own.
 *
 * With ticks to a quarter, a file's time is a sum of (ticks times microseconds a quarter), one term
 * for each stretch of even tempo, over the division. The sum is kept as it is, an integer, and
 * divided once, so that no rounding piles up however many tempo changes there are. */
#include <stdlib.h>
#include <string.h>

#include "smf_internal.h"

enum { DEFAULT_QUARTER_US = 500000 }; /* 120 to the minute: Standard MIDI Files 1.0 */

static int compare_places(int64_t tick_a, uint32_t offset_a, int64_t tick_b, uint32_t offset_b) {
    if (tick_a != tick_b) {
        return tick_a < tick_b ? -1 : 1;
    }
    return (offset_a > offset_b) - (offset_a < offset_b);
}

static int compare_notes(const void *a, const void *b) {
    const struct smf_note *x = a;
    const struct smf_note *y = b;
    return compare_places(x->tick, x->offset, y->tick, y->offset);
}

static int compare_tempos(const void *a, const void *b) {
    const struct smf_tempo *x = a;
    const struct smf_tempo *y = b;
    return compare_places(x->tick, x->offset, y->tick, y->offset);
}

static int compare_metres(const void *a, const void *b) {
    const struct smf_metre *x = a;
    const struct smf_metre *y = b;
    return compare_places(x->tick, x->offset, y->tick, y->offset);
}

static void sort_events(struct smf_events *events) {
    if (events->note_count > 1) {
        qsort(events->notes, events->note_count, sizeof *events->notes, compare_notes);
    }
    if (events->tempo_count > 1) {
        qsort(events->tempos, events->tempo_count, sizeof *events->tempos, compare_tempos);
    }
    if (events->metre_count > 1) {
        qsort(events->metres, events->metre_count, sizeof *events->metres, compare_metres);
    }
}

/* Walks through the file once, in order of ticks. */
struct clock {
    const struct smf_events *events;
    const struct smf_division *division;
    size_t next;         /* the first tempo that is not yet in force */
    int64_t tick;        /* where the tempo in force began */
    int64_t sum;         /* ticks times microseconds up to there */
    uint32_t quarter_us; /* the tempo in force */
};

static struct clock clock_at_start(const struct smf_events *events,
                                   const struct smf_division *division) {
    return (struct clock){.events = events, .division = division, .quarter_us = DEFAULT_QUARTER_US};
}

/* The largest sum within the limit: below 2^52. */
static int64_t largest_sum(const struct clock *clock) {
    return EH_SMF_LONGEST_NS / 1000 * clock->division->ticks_per_quarter;
}

/* Brings the tempo at TICK into force. False beyond the limit on time. */
static bool clock_move(struct clock *clock, int64_t tick) {
    const struct smf_events *events = clock->events;
    while (clock->next < events->tempo_count && events->tempos[clock->next].tick <= tick) {
        const struct smf_tempo *tempo = &events->tempos[clock->next++];
        clock->sum += (tempo->tick - clock->tick) * (int64_t)clock->quarter_us;
        clock->tick = tempo->tick;
        clock->quarter_us = tempo->quarter_us;
        if (clock->division->ticks_per_quarter > 0 && clock->sum > largest_sum(clock)) {
            return false;
        }
    }
    return true;
}

/* Parts of frames: TICK alone says the time. */
static int64_t frame_ns(const struct smf_division *division, int64_t tick) {
    const int64_t above = division->tick_ns_above;
    const int64_t below = division->tick_ns_below;
    if (tick > EH_SMF_LONGEST_NS / above * below) {
        return -1;
    }
    return (tick * above + below / 2) / below;
}

/* The time of TICK, not before that of the call before; -1 beyond the limit. */
static int64_t clock_ns(struct clock *clock, int64_t tick) {
    if (!clock_move(clock, tick)) {
        return -1;
    }
    const int64_t division = clock->division->ticks_per_quarter;
    if (division == 0) {
        return frame_ns(clock->division, tick);
    }
    const int64_t sum = clock->sum + (tick - clock->tick) * (int64_t)clock->quarter_us;
    return sum > largest_sum(clock) ? -1 : (sum * 1000 + division / 2) / division;
}

/* One tick of the file at a tempo, rounded up. */
static int64_t step_ns(const struct smf_division *division, uint32_t quarter_us) {
    const bool frames = division->ticks_per_quarter == 0;
    const int64_t above = frames ? division->tick_ns_above : (int64_t)quarter_us * 1000;
    const int64_t below = frames ? division->tick_ns_below : division->ticks_per_quarter;
    return (above + below - 1) / below;
}

static enum eh_status refuse_late(uint32_t offset, struct eh_error *error) {
    return eh_fail_offset(error, EH_TOO_LARGE, (long long)offset,
                          "an event lies more than 24 hours after the beginning; cut the file into "
                          "shorter takes");
}

/* Our tick for a place in the file. Where ticks are parts of frames, the beats are where the tempo
 * events put them on the clock; the click must be known up to there. */
static eh_ticks our_tick(const struct eh_take *take, const struct smf_division *division,
                         int64_t tick, int64_t at_ns) {
    const int64_t d = division->ticks_per_quarter;
    if (d == 0) {
        return eh_tempo_map_tick(&take->click, at_ns);
    }
    return (tick * EH_TICKS_PER_QUARTER * 2 + d) / (d * 2);
}

/* Two tempos can fall on one tick of ours when the file's ticks are finer (divisions above 20160):
 * the later one then rules from the earlier one's place. */
static enum eh_status add_segment(struct eh_tempo_map *click, eh_ticks at, int64_t at_ns,
                                  int64_t quarter_ns) {
    const struct eh_tempo_segment *last = &click->segments[click->count - 1];
    if (at <= last->at) {
        return eh_tempo_map_append(click, last->at, last->at_ns, quarter_ns);
    }
    return eh_tempo_map_append(click, at, at_ns, quarter_ns);
}

static enum eh_status fill_click(struct eh_take *take, const struct smf_events *events,
                                 const struct smf_division *division, struct eh_error *error) {
    enum eh_status status =
        eh_tempo_map_init(&take->click, 0, 0, (int64_t)DEFAULT_QUARTER_US * 1000);
    struct clock clock = clock_at_start(events, division);
    for (size_t i = 0; i < events->tempo_count && status == EH_OK; i++) {
        const struct smf_tempo *tempo = &events->tempos[i];
        const int64_t at_ns = clock_ns(&clock, tempo->tick);
        if (at_ns < 0) {
            return refuse_late(tempo->offset, error);
        }
        const eh_ticks at = our_tick(take, division, tempo->tick, at_ns);
        status = add_segment(&take->click, at, at_ns, (int64_t)tempo->quarter_us * 1000);
    }
    return status == EH_OK ? EH_OK : smf_no_memory(error);
}

/* Half a tick of the file in ticks of ours, rounded up. */
static eh_ticks half_step(const struct eh_take *take, const struct smf_division *division,
                          eh_ticks at) {
    if (division->ticks_per_quarter > 0) {
        return EH_TICKS_PER_QUARTER / (2 * (eh_ticks)division->ticks_per_quarter) + 1;
    }
    const int64_t quarter_ns = eh_tempo_map_ns_per_quarter(&take->click, at);
    return step_ns(division, 0) * EH_TICKS_PER_QUARTER / (2 * quarter_ns) + 1;
}

/* A bar line need not fall on a tick of the file. A metre within half a tick of one was meant to be
 * there; without this the rounding would count as one more, very short bar. */
static eh_ticks snap_to_bar(eh_ticks at, struct eh_metre_change last, eh_ticks tolerance) {
    const eh_ticks bar = eh_metre_bar(last);
    const eh_ticks after = (at - last.at) % bar;
    if (after <= tolerance) {
        return at - after;
    }
    return bar - after <= tolerance ? at + bar - after : at;
}

static enum eh_status add_metre(struct eh_take *take, const struct smf_metre *metre, eh_ticks at,
                                eh_ticks tolerance) {
    const struct eh_metre_change last = take->metres[take->metre_count - 1];
    const eh_ticks snapped = snap_to_bar(at < last.at ? last.at : at, last, tolerance);
    const bool on_bar = (snapped - last.at) % eh_metre_bar(last) == 0;
    if (on_bar && metre->beats == last.beats && metre->unit == last.unit) {
        return EH_OK; /* only says again what holds */
    }
    return eh_take_add_metre(
        take, (struct eh_metre_change){.at = snapped, .beats = metre->beats, .unit = metre->unit});
}

static enum eh_status fill_metres(struct eh_take *take, const struct smf_events *events,
                                  const struct smf_division *division, struct eh_error *error) {
    const struct eh_metre_change common = {.at = 0, .beats = 4, .unit = 4};
    enum eh_status status = eh_take_add_metre(take, common);
    struct clock clock = clock_at_start(events, division);
    for (size_t i = 0; i < events->metre_count && status == EH_OK; i++) {
        const struct smf_metre *metre = &events->metres[i];
        const int64_t at_ns = clock_ns(&clock, metre->tick);
        if (at_ns < 0) {
            return refuse_late(metre->offset, error);
        }
        const eh_ticks at = our_tick(take, division, metre->tick, at_ns);
        status = add_metre(take, metre, at, half_step(take, division, at));
    }
    return status == EH_OK ? EH_OK : smf_no_memory(error);
}

static enum eh_status fill_hits(struct eh_take *take, const struct smf_events *events,
                                const struct smf_division *division, struct eh_error *error) {
    if (events->note_count == 0) {
        return EH_OK;
    }
    take->hits = calloc(events->note_count, sizeof *take->hits);
    if (take->hits == NULL) {
        return smf_no_memory(error);
    }
    take->capacity = events->note_count;
    struct clock clock = clock_at_start(events, division);
    for (size_t i = 0; i < events->note_count; i++) {
        const struct smf_note *note = &events->notes[i];
        const int64_t at_ns = clock_ns(&clock, note->tick);
        if (at_ns < 0) {
            return refuse_late(note->offset, error);
        }
        take->hits[take->count++] = (struct eh_hit){.at_ns = at_ns,
                                                    .velocity = note->velocity,
                                                    .note = note->note,
                                                    .channel = note->channel};
    }
    return EH_OK;
}

/* The longest quarter in force from the first hit to the last: the worst that any hit's time can
 * be. */
static uint32_t slowest_quarter_us(const struct smf_events *events,
                                   const struct smf_division *division) {
    const size_t count = events->note_count;
    const int64_t first = count == 0 ? 0 : events->notes[0].tick;
    const int64_t last = count == 0 ? SMF_LAST_TICK : events->notes[count - 1].tick;
    struct clock clock = clock_at_start(events, division);
    (void)clock_move(&clock, first);
    uint32_t slowest = clock.quarter_us;
    for (size_t i = clock.next; i < events->tempo_count && events->tempos[i].tick <= last; i++) {
        if (events->tempos[i].quarter_us > slowest) {
            slowest = events->tempos[i].quarter_us;
        }
    }
    return slowest;
}

enum eh_status smf_fill_take(struct eh_take *take, struct smf_events *events,
                             const struct smf_division *division, struct eh_error *error) {
    sort_events(events);
    enum eh_status status = fill_click(take, events, division, error);
    if (status == EH_OK) {
        status = fill_metres(take, events, division, error);
    }
    if (status == EH_OK) {
        status = fill_hits(take, events, division, error);
    }
    take->resolution_ns = step_ns(division, slowest_quarter_us(events, division));
    return status;
}
