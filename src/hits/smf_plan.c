#include "smf_plan.h"

#include <stdlib.h>

/* Long enough to be seen and heard in other programs, short enough for a fast roll. */
static const int64_t note_ns = 50 * EH_NS_PER_MS;

static eh_ticks earlier(eh_ticks a, eh_ticks b) {
    return a < b ? a : b;
}

eh_ticks eh_smf_origin(const struct eh_take *take) {
    if (take->click.count == 0) {
        return 0;
    }
    eh_ticks first = earlier(0, take->click.segments[0].at);
    if (take->count > 0) {
        first = earlier(first, eh_tempo_map_tick(&take->click, take->hits[0].at_ns));
    }
    if (take->metre_count > 0) {
        first = earlier(first, take->metres[0].at);
    }
    if (first == 0) {
        return 0;
    }
    eh_ticks in_bar = 0;
    int bar = 0;
    eh_take_locate(take, first, &bar, &in_bar);
    return first - in_bar;
}

/* Whole nanoseconds from the origin, or -1 outside what a file may hold. */
static int64_t since(int64_t origin_ns, int64_t at_ns) {
    int64_t since_ns = 0;
    if (__builtin_sub_overflow(at_ns, origin_ns, &since_ns) || since_ns > EH_SMF_LONGEST_NS) {
        return -1;
    }
    return since_ns < 0 ? 0 : since_ns; /* a hit can round to the tick after it */
}

static enum eh_status check_length(const struct eh_take *take, int64_t origin_ns,
                                   struct eh_error *error) {
    const struct eh_tempo_map *map = &take->click;
    int64_t last_ns = map->segments[map->count - 1].at_ns;
    if (take->count > 0 && take->hits[take->count - 1].at_ns > last_ns) {
        last_ns = take->hits[take->count - 1].at_ns;
    }
    if (take->metre_count > 0) {
        const int64_t metre_ns = eh_tempo_map_ns(map, take->metres[take->metre_count - 1].at);
        last_ns = metre_ns > last_ns ? metre_ns : last_ns;
    }
    if (since(origin_ns, last_ns) >= 0) {
        return EH_OK;
    }
    return eh_fail(error, EH_TOO_LARGE,
                   "the take spans more than 24 hours, the most that is written to a MIDI file");
}

static enum eh_status whole_us(int64_t quarter_ns, int64_t *out_quarter_ns,
                               struct eh_error *error) {
    const int64_t us = (quarter_ns + 500) / 1000;
    if (us < EH_SMF_SHORTEST_QUARTER_US || us > EH_SMF_LONGEST_QUARTER_US) {
        return eh_fail(error, EH_OUT_OF_RANGE,
                       "a tempo of %lld microseconds to the quarter cannot be written to a MIDI "
                       "file, which holds %d to %d here",
                       (long long)us, EH_SMF_SHORTEST_QUARTER_US, EH_SMF_LONGEST_QUARTER_US);
    }
    *out_quarter_ns = us * 1000;
    return EH_OK;
}

static size_t segment_at(const struct eh_tempo_map *map, eh_ticks at) {
    size_t i = 0;
    while (i + 1 < map->count && map->segments[i + 1].at <= at) {
        i++;
    }
    return i;
}

/* The quarter note that leads from FROM (on the take's ticks; it sounds at FROM_NS in the file) to
 * the next segment at its time. So the rounding to microseconds is made good from segment to
 * segment, and a click that was measured beat by beat is kept. Stretches shorter than a quarter
 * would magnify the rounding: they keep their own tempo. */
static int64_t quarter_towards_next(const struct eh_tempo_map *map, size_t i, eh_ticks from,
                                    int64_t from_ns, int64_t origin_ns) {
    if (i + 1 == map->count || map->segments[i + 1].at - from < EH_TICKS_PER_QUARTER) {
        return map->segments[i].ns_per_quarter;
    }
    const eh_ticks ticks = map->segments[i + 1].at - from;
    const int64_t span_ns = map->segments[i + 1].at_ns - origin_ns - from_ns;
    return (span_ns * EH_TICKS_PER_QUARTER + ticks / 2) / ticks;
}

static enum eh_status plan_click(struct smf_plan *plan, const struct eh_take *take, eh_ticks origin,
                                 int64_t origin_ns, struct eh_error *error) {
    const struct eh_tempo_map *map = &take->click;
    enum eh_status status = EH_OK;
    for (size_t i = segment_at(map, origin); i < map->count && status == EH_OK; i++) {
        const bool first = plan->click.count == 0;
        const eh_ticks from = first ? origin : map->segments[i].at;
        const eh_ticks at = from - origin;
        const int64_t at_ns = first ? 0 : eh_tempo_map_ns(&plan->click, at);
        int64_t quarter_ns = 0;
        status = whole_us(quarter_towards_next(map, i, from, at_ns, origin_ns), &quarter_ns, error);
        if (status == EH_OK) {
            status = eh_tempo_map_append(&plan->click, at, at_ns, quarter_ns);
        }
    }
    return status;
}

static enum eh_status plan_metres(struct smf_plan *plan, const struct eh_take *take,
                                  eh_ticks origin) {
    plan->metres = calloc(take->metre_count + 1, sizeof *plan->metres);
    if (plan->metres == NULL) {
        return EH_NO_MEMORY;
    }
    plan->metres[0] = eh_take_metre(take, origin);
    plan->metres[0].at = 0;
    plan->metre_count = 1;
    for (size_t i = 0; i < take->metre_count; i++) {
        if (take->metres[i].at > origin) {
            plan->metres[plan->metre_count] = take->metres[i];
            plan->metres[plan->metre_count++].at -= origin;
        }
    }
    return EH_OK;
}

static int compare_strokes(const void *a, const void *b) {
    const struct smf_stroke *x = a;
    const struct smf_stroke *y = b;
    if (x->tick != y->tick) {
        return x->tick < y->tick ? -1 : 1;
    }
    return (x->order > y->order) - (x->order < y->order);
}

/* Where each note ends: after its length, or where the same note begins again. Walks backwards so
 * that the next beginning is known. */
static void set_ends(struct smf_plan *plan) {
    int64_t next[128];
    for (size_t note = 0; note < 128; note++) {
        next[note] = INT64_MAX;
    }
    for (size_t i = plan->stroke_count; i >= 2; i -= 2) {
        const struct smf_stroke *begin = &plan->strokes[i - 2];
        struct smf_stroke *end = &plan->strokes[i - 1];
        end->tick = earlier(end->tick, next[begin->note]);
        next[begin->note] = begin->tick;
    }
}

/* Hits stand at even places, their ends behind them; the places are the order of equal ticks: a
 * note ends before a later one begins, and never before its own beginning. */
static enum eh_status plan_strokes(struct smf_plan *plan, const struct eh_take *take,
                                   int64_t origin_ns) {
    if (take->count == 0) {
        return EH_OK;
    }
    plan->strokes = calloc(take->count, 2 * sizeof *plan->strokes);
    if (plan->strokes == NULL) {
        return EH_NO_MEMORY;
    }
    for (size_t i = 0; i < take->count; i++) {
        const struct eh_hit *hit = &take->hits[i];
        const int64_t at_ns = since(origin_ns, hit->at_ns);
        const struct smf_stroke stroke = {.tick = eh_tempo_map_tick(&plan->click, at_ns),
                                          .order = 2 * i,
                                          .velocity = hit->velocity,
                                          .note = hit->note & 0x7F,
                                          .begins = true};
        plan->strokes[2 * i] = stroke;
        plan->strokes[2 * i + 1] = stroke;
        plan->strokes[2 * i + 1].tick = eh_tempo_map_tick(&plan->click, at_ns + note_ns);
        plan->strokes[2 * i + 1].order = 2 * i + 1;
        plan->strokes[2 * i + 1].begins = false;
    }
    plan->stroke_count = 2 * take->count;
    set_ends(plan);
    qsort(plan->strokes, plan->stroke_count, sizeof *plan->strokes, compare_strokes);
    return EH_OK;
}

enum eh_status smf_plan_init(struct smf_plan *plan, const struct eh_take *take,
                             struct eh_error *error) {
    *plan = (struct smf_plan){0};
    if (take->click.count == 0) {
        return eh_fail(error, EH_OUT_OF_RANGE,
                       "a take without a click cannot be written to a MIDI file");
    }
    const eh_ticks origin = eh_smf_origin(take);
    const int64_t origin_ns = eh_tempo_map_ns(&take->click, origin);
    enum eh_status status = check_length(take, origin_ns, error);
    if (status == EH_OK) {
        status = plan_click(plan, take, origin, origin_ns, error);
    }
    if (status == EH_OK) {
        status = plan_metres(plan, take, origin);
    }
    if (status == EH_OK) {
        status = plan_strokes(plan, take, origin_ns);
    }
    return status;
}

void smf_plan_deinit(struct smf_plan *plan) {
    eh_tempo_map_deinit(&plan->click);
    free(plan->metres);
    free(plan->strokes);
    *plan = (struct smf_plan){0};
}
