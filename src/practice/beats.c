#include "beats.h"

#include <stdlib.h>

eh_ticks eh_metre_ticks(int beats, int unit) {
    return EH_TICKS_PER_QUARTER * 4 * beats / unit;
}

eh_ticks eh_beat_ticks(int beats, int unit) {
    const eh_ticks one = eh_metre_ticks(1, unit);
    return unit >= 8 && beats > 3 && beats % 3 == 0 ? 3 * one : one;
}

static eh_ticks missing_before(eh_ticks length, int beats, int unit) {
    const eh_ticks whole = eh_metre_ticks(beats, unit);
    return length < whole ? whole - length : 0;
}

eh_ticks eh_practice_count_in(const struct eh_bar *bar, int bars) {
    return bars * eh_metre_ticks(bar->beats, bar->unit) +
           missing_before(bar->length, bar->beats, bar->unit);
}

/* Writes clicks, or only counts them while practice->beats is NULL. */
struct layer {
    struct eh_practice *practice;
    int subdivision;
    size_t count;
};

static void add_beat(struct layer *layer, struct eh_beat beat) {
    if (layer->practice->beats != NULL) {
        beat.at_ns = eh_tempo_map_ns(&layer->practice->click, beat.at);
        layer->practice->beats[layer->count] = beat;
    }
    layer->count++;
}

/* A beat with its subdivisions, as far as they lie before END. */
static void add_divided(struct layer *layer, struct eh_beat beat, eh_ticks length, eh_ticks end) {
    const eh_ticks from = beat.at;
    for (int k = 0; k < layer->subdivision; k++) {
        beat.at = from + length * k / layer->subdivision;
        if (k > 0) {
            beat.weight = EH_BEAT_SUBDIVISION;
            beat.number = k + 1;
        }
        if (beat.at < end) {
            add_beat(layer, beat);
        }
    }
}

/* The clicks of one bar that begins at BAR_AT by its metre, from FROM to END. LIKE says whether
 * they are a count-in, and whether they are silent. */
static void add_bar(struct layer *layer, const struct eh_plan_bar *bar, eh_ticks bar_at,
                    eh_ticks from, eh_ticks end, const struct eh_beat *like) {
    const eh_ticks beat = eh_beat_ticks(bar->beats, bar->unit);
    int number = 1;
    for (eh_ticks at = bar_at; at < end; at += beat, number++) {
        if (at < from) {
            continue;
        }
        struct eh_beat one = *like;
        one.at = at;
        one.pass = bar->pass;
        one.number = number;
        one.weight = number == 1 ? EH_BEAT_ONE : EH_BEAT_PLAIN;
        add_divided(layer, one, beat, end);
    }
}

static void add_count_in(struct layer *layer, const struct eh_plan_bar *first) {
    static const struct eh_beat like = {.count_in = true};
    const eh_ticks whole = eh_metre_ticks(first->beats, first->unit);
    for (eh_ticks at = first->at - layer->practice->count_in; at < first->at; at += whole) {
        const eh_ticks end = at + whole < first->at ? at + whole : first->at;
        add_bar(layer, first, at, at, end, &like);
    }
}

static void add_all(struct layer *layer) {
    const struct eh_plan *plan = &layer->practice->plan;
    for (size_t i = 0; i < plan->bar_count; i++) {
        const struct eh_plan_bar *bar = &plan->bars[i];
        const bool first = i == 0 || plan->bars[i - 1].pass != bar->pass;
        const eh_ticks missing =
            first ? missing_before(bar->end - bar->at, bar->beats, bar->unit) : 0;
        if (first && !(layer->practice->no_click && (i > 0 || layer->practice->uncounted))) {
            add_count_in(layer, bar);
        }
        if (layer->practice->no_click) {
            continue;
        }
        const struct eh_beat like = {.silent = layer->practice->silent[i]};
        add_bar(layer, bar, bar->at - missing, bar->at, bar->end, &like);
    }
}

enum eh_status eh_beats_lay(struct eh_practice *practice, int subdivision) {
    struct layer layer = {practice, subdivision, 0};
    practice->beats = NULL;
    add_all(&layer);
    if (layer.count == 0) {
        return EH_OK; /* uncounted; else a plan has at least one bar, and a bar at least one beat */
    }
    practice->beats = calloc(layer.count, sizeof *practice->beats);
    if (practice->beats == NULL) {
        return EH_NO_MEMORY;
    }
    practice->beat_count = layer.count;
    layer.count = 0;
    add_all(&layer);
    return EH_OK;
}
