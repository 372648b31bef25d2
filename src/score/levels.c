/* Dynamics and hairpins, read in the order of the paper: what holds at a note is the last mark
 * before it, however often it is played. A further ending goes on from where the first one did. */
#include <stdlib.h>

#include "unfold.h"

enum { MILLI = 1000 };

struct reading {
    struct score_levels *levels;
    const struct eh_exercise *exercise;
    struct eh_error *error;
    uint8_t dynamic;        /* in force */
    uint8_t before_endings; /* ... when the first ending began */
    int direction;          /* of the open hairpin: 1, -1, or 0 when none is open */
};

static enum eh_status no_memory(const struct reading *reading) {
    return eh_fail(reading->error, EH_NO_MEMORY, "not enough memory for the exercise");
}

static enum eh_status add_span(struct reading *reading, eh_ticks at) {
    struct score_levels *levels = reading->levels;
    struct score_span *spans =
        score_grow(levels->spans, &levels->span_capacity, levels->span_count + 1, sizeof *spans);
    if (spans == NULL) {
        return no_memory(reading);
    }
    levels->spans = spans;
    const int32_t hairpin = reading->direction == 0 ? -1 : (int32_t)levels->swell_count - 1;
    spans[levels->span_count++] =
        (struct score_span){.at = at, .dynamic = reading->dynamic, .hairpin = hairpin};
    return EH_OK;
}

static const char *direction_word(int direction) {
    return direction > 0 ? "cresc" : "dim";
}

/* Ends the open hairpin, if any, at AT and at the level TARGET. */
static enum eh_status close_swell(struct reading *reading, eh_ticks at, int target,
                                  struct score_place place) {
    if (reading->direction == 0) {
        return EH_OK;
    }
    struct score_swell *swell = &reading->levels->swells[reading->levels->swell_count - 1];
    if ((target - swell->from_dynamic) * reading->direction <= 0) {
        return eh_fail_at(
            reading->error, EH_BAD_SYNTAX, place.line, place.column,
            "expected a mark %s than %s to end the %s, found %s: write end before a sudden change",
            reading->direction > 0 ? "louder" : "softer",
            eh_dynamic_text((enum eh_dynamic)swell->from_dynamic),
            direction_word(reading->direction), eh_dynamic_text((enum eh_dynamic)target));
    }
    if (at == swell->from) {
        return eh_fail_at(reading->error, EH_BAD_SYNTAX, place.line, place.column,
                          "expected notes or rests inside the %s, found its end",
                          direction_word(reading->direction));
    }
    swell->to = at;
    swell->to_dynamic = (uint8_t)target;
    reading->dynamic = (uint8_t)target;
    reading->direction = 0;
    return EH_OK;
}

/* Where a hairpin leads when no mark says so: one step on. */
static int one_step_on(const struct reading *reading) {
    return reading->dynamic + reading->direction;
}

static enum eh_status open_swell(struct reading *reading, eh_ticks at, int direction,
                                 struct score_place place) {
    const int target = reading->dynamic + direction;
    if (target < EH_DYNAMIC_PPP || target > EH_DYNAMIC_FFF) {
        return eh_fail_at(reading->error, EH_BAD_SYNTAX, place.line, place.column,
                          "expected a dynamic that leaves room for a %s, found %s",
                          direction_word(direction),
                          eh_dynamic_text((enum eh_dynamic)reading->dynamic));
    }
    struct score_levels *levels = reading->levels;
    struct score_swell *swells = score_grow(levels->swells, &levels->swell_capacity,
                                            levels->swell_count + 1, sizeof *swells);
    if (swells == NULL) {
        return no_memory(reading);
    }
    levels->swells = swells;
    swells[levels->swell_count++] =
        (struct score_swell){.from = at, .from_dynamic = reading->dynamic, .place = place};
    reading->direction = direction;
    return EH_OK;
}

static enum eh_status read_mark(struct reading *reading, eh_ticks at,
                                const struct score_item *item) {
    if (item->mark == SCORE_END && reading->direction == 0) {
        return eh_fail_at(reading->error, EH_BAD_SYNTAX, item->place.line, item->place.column,
                          "expected cresc or dim somewhere before end, found none open");
    }
    const bool is_dynamic = item->mark < EH_DYNAMIC_COUNT;
    enum eh_status status =
        close_swell(reading, at, is_dynamic ? item->mark : one_step_on(reading), item->place);
    if (status == EH_OK && is_dynamic) {
        reading->dynamic = item->mark;
    }
    if (status == EH_OK && (item->mark == SCORE_CRESC || item->mark == SCORE_DIM)) {
        status = open_swell(reading, at, item->mark == SCORE_CRESC ? 1 : -1, item->place);
    }
    return status == EH_OK ? add_span(reading, at) : status;
}

/* A repeat would tear a hairpin apart. */
static enum eh_status check_closed(const struct reading *reading, const char *where) {
    if (reading->direction == 0) {
        return EH_OK;
    }
    const struct score_swell *swell = &reading->levels->swells[reading->levels->swell_count - 1];
    return eh_fail_at(reading->error, EH_BAD_SYNTAX, swell->place.line, swell->place.column,
                      "expected a dynamic mark or end to close this %s before %s, found none",
                      direction_word(reading->direction), where);
}

static enum eh_status read_opening(struct reading *reading, const struct score_bar *bar) {
    enum eh_status status = EH_OK;
    if (bar->repeat_from || bar->endings != 0) {
        status = check_closed(reading, "the repeat or ending sign");
    }
    if (status == EH_OK && (bar->endings & 1u) != 0) {
        reading->before_endings = reading->dynamic;
    } else if (status == EH_OK && bar->endings != 0) {
        reading->dynamic = reading->before_endings;
        status = add_span(reading, bar->at);
    }
    return status;
}

static enum eh_status read_bar(struct reading *reading, const struct score_bar *bar) {
    enum eh_status status = read_opening(reading, bar);
    for (size_t i = 0; status == EH_OK && i < bar->count; i++) {
        const struct score_item *item = &reading->exercise->items[bar->first + i];
        if (item->kind == SCORE_MARK) {
            status = read_mark(reading, bar->at + item->at, item);
        }
    }
    return status == EH_OK && bar->times != 0 ? check_closed(reading, "the repeat sign") : status;
}

enum eh_status score_levels_read(struct score_levels *levels, const struct eh_exercise *exercise,
                                 struct eh_error *error) {
    *levels = (struct score_levels){0};
    struct reading reading = {.levels = levels,
                              .exercise = exercise,
                              .error = error,
                              .dynamic = EH_DYNAMIC_MF,
                              .before_endings = EH_DYNAMIC_MF};
    enum eh_status status = add_span(&reading, 0);
    for (size_t i = 0; status == EH_OK && i < exercise->bar_count; i++) {
        status = read_bar(&reading, &exercise->bars[i]);
    }
    return status == EH_OK ? check_closed(&reading, "the end") : status;
}

void score_levels_deinit(struct score_levels *levels) {
    free(levels->spans);
    free(levels->swells);
    *levels = (struct score_levels){0};
}

const struct score_span *score_levels_at(const struct score_levels *levels, eh_ticks at) {
    size_t low = 0; /* spans[low] holds or is too early */
    size_t high = levels->span_count;
    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (levels->spans[middle].at <= at) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return &levels->spans[low];
}

int16_t score_levels_milli(const struct score_levels *levels, const struct score_span *span,
                           eh_ticks at) {
    if (span->hairpin < 0) {
        return (int16_t)(span->dynamic * MILLI);
    }
    const struct score_swell *swell = &levels->swells[span->hairpin];
    const eh_ticks whole = swell->to - swell->from;
    const eh_ticks rise = (eh_ticks)(swell->to_dynamic - swell->from_dynamic) * MILLI;
    const eh_ticks twice = 2 * rise * (at - swell->from); /* rounded half away from zero */
    const eh_ticks part = (twice + (rise < 0 ? -whole : whole)) / (2 * whole);
    return (int16_t)((eh_ticks)swell->from_dynamic * MILLI + part);
}
