/* The row of strokes in playing order. */
#include "unfold.h"

#include <stdlib.h>

#include "evenhand/exercise_text.h"

/* The note that a hold would prolong. */
struct sounding {
    const struct score_item *note; /* NULL after a rest */
    eh_ticks spacing;              /* of its strokes; 0 unless tremolo */
};

struct unfolding {
    struct eh_exercise *exercise;
    struct eh_error *error;
    struct score_levels levels;
    const struct score_bar *bar; /* being played */
    eh_ticks at;                 /* its bar line, repeats unfolded */
    struct sounding sounding;
    int32_t swell_base; /* unfolded number of a hairpin = its written number + this */
};

enum { LAST_VALUE_WITHOUT_FLAG = 2 };

eh_ticks score_stroke_spacing(const struct score_item *item) {
    const struct score_note *note = &item->note;
    if (note->slashes == 0) {
        return item->length;
    }
    const int flags =
        item->value > LAST_VALUE_WITHOUT_FLAG ? item->value - LAST_VALUE_WITHOUT_FLAG : 0;
    const int marks = LAST_VALUE_WITHOUT_FLAG + flags + note->slashes;
    /* The length of a plain whole note under the same groups, divided by that of the strokes. */
    const eh_ticks dots_times = (2 << item->dots) - 1;
    const eh_ticks over = dots_times * ((eh_ticks)1 << (marks - item->value));
    const eh_ticks scaled = item->length * (1 << item->dots);
    return scaled % over == 0 ? scaled / over : 0;
}

static enum eh_status wrong(const struct unfolding *unfolding, struct score_place place,
                            const char *text) {
    return eh_fail_at(unfolding->error, EH_BAD_SYNTAX, place.line, place.column, "%s", text);
}

static enum eh_status no_memory(const struct unfolding *unfolding) {
    return eh_fail(unfolding->error, EH_NO_MEMORY, "not enough memory for the exercise");
}

static enum eh_status reserve_strokes(struct unfolding *unfolding, size_t more,
                                      struct score_place place) {
    struct eh_exercise *exercise = unfolding->exercise;
    const size_t needed = exercise->stroke_count + more;
    if (needed > EH_EXERCISE_STROKES_MAX) {
        return eh_fail_at(unfolding->error, EH_TOO_LARGE, place.line, place.column,
                          "expected at most %d strokes with all repeats played, found more",
                          EH_EXERCISE_STROKES_MAX);
    }
    struct eh_stroke *strokes =
        score_grow(exercise->strokes, &exercise->stroke_capacity, needed, sizeof *strokes);
    if (strokes == NULL) {
        return no_memory(unfolding);
    }
    exercise->strokes = strokes;
    return EH_OK;
}

/* A stroke of the open bar at IN_BAR, with its level; room is there. */
static struct eh_stroke *push_stroke(struct unfolding *unfolding, eh_ticks in_bar, uint8_t hand) {
    struct eh_exercise *exercise = unfolding->exercise;
    const eh_ticks written = unfolding->bar->at + in_bar;
    const struct score_span *span = score_levels_at(&unfolding->levels, written);
    struct eh_stroke *stroke = &exercise->strokes[exercise->stroke_count++];
    *stroke = (struct eh_stroke){
        .at = unfolding->at + in_bar,
        .in_bar = in_bar,
        .bar = (int32_t)(unfolding->bar - exercise->bars) + 1,
        .played_bar = (int32_t)exercise->played_count - 1,
        .hairpin = span->hairpin < 0 ? -1 : span->hairpin + unfolding->swell_base,
        .step_milli = score_levels_milli(&unfolding->levels, span, written),
        .hand = hand,
        .kind = EH_KIND_SINGLE,
        .dynamic = span->dynamic};
    return stroke;
}

static void push_graces(struct unfolding *unfolding, const struct score_item *item) {
    for (int k = 0; k < item->note.grace_count; k++) {
        const uint8_t hand = (item->note.grace_hands >> k) & 1u;
        struct eh_stroke *grace = push_stroke(unfolding, item->at, hand);
        grace->kind = EH_KIND_GRACE;
        grace->grace_rank = (uint8_t)(item->note.grace_count - k);
    }
}

/* The strokes of NOTE from IN_BAR on for LENGTH, SPACING apart. */
static void push_mains(struct unfolding *unfolding, const struct score_note *note, eh_ticks in_bar,
                       eh_ticks length, eh_ticks spacing) {
    for (eh_ticks done = 0; done < length; done += spacing) {
        struct eh_stroke *stroke = push_stroke(unfolding, in_bar + done, note->hand);
        stroke->kind = note->buzz ? EH_KIND_BUZZ : EH_KIND_SINGLE;
        stroke->length = spacing;
        stroke->roll = note->slashes > 0;
    }
}

static enum eh_status play_note(struct unfolding *unfolding, const struct score_item *item) {
    const eh_ticks spacing = score_stroke_spacing(item);
    const size_t mains = (size_t)(item->length / spacing);
    const size_t more = mains + item->note.grace_count;
    const enum eh_status status = reserve_strokes(unfolding, more, item->place);
    if (status != EH_OK) {
        return status;
    }
    push_graces(unfolding, item);
    push_mains(unfolding, &item->note, item->at, item->length, spacing);
    struct eh_stroke *first =
        &unfolding->exercise->strokes[unfolding->exercise->stroke_count - mains];
    first->accent = item->note.accent;
    first->grace_count = item->note.grace_count;
    unfolding->sounding =
        (struct sounding){.note = item, .spacing = item->note.slashes > 0 ? spacing : 0};
    return EH_OK;
}

static enum eh_status play_hold(struct unfolding *unfolding, const struct score_item *item) {
    const struct sounding *sounding = &unfolding->sounding;
    if (sounding->note == NULL) {
        return wrong(unfolding, item->place,
                     "expected a note directly before the hold _, found none to hold");
    }
    if (sounding->spacing == 0) {
        unfolding->exercise->strokes[unfolding->exercise->stroke_count - 1].length += item->length;
        return EH_OK;
    }
    if (item->length % sounding->spacing != 0) {
        return wrong(unfolding, item->place,
                     "expected a hold that the strokes of its roll divide evenly, found a part "
                     "left over");
    }
    const size_t mains = (size_t)(item->length / sounding->spacing);
    const enum eh_status status = reserve_strokes(unfolding, mains, item->place);
    if (status == EH_OK) {
        push_mains(unfolding, &sounding->note->note, item->at, item->length, sounding->spacing);
    }
    return status;
}

static enum eh_status play_item(struct unfolding *unfolding, const struct score_item *item) {
    switch (item->kind) {
    case SCORE_NOTE:
        return play_note(unfolding, item);
    case SCORE_HOLD:
        return play_hold(unfolding, item);
    case SCORE_REST:
        unfolding->sounding.note = NULL;
        return EH_OK;
    default:
        return EH_OK;
    }
}

static enum eh_status push_bar(struct unfolding *unfolding) {
    struct eh_exercise *exercise = unfolding->exercise;
    struct eh_bar *played = score_grow(exercise->played, &exercise->played_capacity,
                                       exercise->played_count + 1, sizeof *played);
    if (played == NULL) {
        return no_memory(unfolding);
    }
    exercise->played = played;
    played[exercise->played_count++] =
        (struct eh_bar){.at = unfolding->at,
                        .length = unfolding->bar->length,
                        .written = (int32_t)(unfolding->bar - exercise->bars) + 1,
                        .beats = unfolding->bar->beats,
                        .unit = unfolding->bar->unit};
    return EH_OK;
}

/* The first written hairpin that begins at or after AT. */
static size_t first_swell(const struct score_levels *levels, eh_ticks at) {
    size_t low = 0;
    size_t high = levels->swell_count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (levels->swells[middle].from < at) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

/* The hairpins that begin in the bar. They never cross a repeat sign, so that between two signs
 * the written and the unfolded numbers run in parallel. */
static enum eh_status push_hairpins(struct unfolding *unfolding) {
    struct eh_exercise *exercise = unfolding->exercise;
    const struct score_levels *levels = &unfolding->levels;
    const eh_ticks bar_end = unfolding->bar->at + unfolding->bar->length;
    const eh_ticks moved = unfolding->at - unfolding->bar->at;
    for (size_t i = first_swell(levels, unfolding->bar->at);
         i < levels->swell_count && levels->swells[i].from < bar_end; i++) {
        struct eh_hairpin *hairpins = score_grow(exercise->hairpins, &exercise->hairpin_capacity,
                                                 exercise->hairpin_count + 1, sizeof *hairpins);
        if (hairpins == NULL) {
            return no_memory(unfolding);
        }
        exercise->hairpins = hairpins;
        unfolding->swell_base = (int32_t)exercise->hairpin_count - (int32_t)i;
        hairpins[exercise->hairpin_count++] =
            (struct eh_hairpin){.from = levels->swells[i].from + moved,
                                .to = levels->swells[i].to + moved,
                                .from_dynamic = levels->swells[i].from_dynamic,
                                .to_dynamic = levels->swells[i].to_dynamic};
    }
    return EH_OK;
}

static enum eh_status play_bar(struct unfolding *unfolding, const struct score_bar *bar) {
    unfolding->bar = bar;
    enum eh_status status = push_bar(unfolding);
    if (status == EH_OK) {
        status = push_hairpins(unfolding);
    }
    for (size_t i = 0; status == EH_OK && i < bar->count; i++) {
        status = play_item(unfolding, &unfolding->exercise->items[bar->first + i]);
    }
    unfolding->at += bar->length;
    return status;
}

static enum eh_status play_all(struct unfolding *unfolding) {
    size_t *order = NULL;
    size_t count = 0;
    enum eh_status status = score_order(unfolding->exercise, &order, &count, unfolding->error);
    for (size_t i = 0; status == EH_OK && i < count; i++) {
        status = play_bar(unfolding, &unfolding->exercise->bars[order[i]]);
    }
    free(order);
    return status;
}

enum eh_status score_unfold(struct eh_exercise *exercise, struct eh_error *error) {
    struct unfolding unfolding = {.exercise = exercise, .error = error};
    enum eh_status status = score_levels_read(&unfolding.levels, exercise, error);
    if (status == EH_OK) {
        status = play_all(&unfolding);
    }
    score_levels_deinit(&unfolding.levels);
    if (status == EH_OK) {
        exercise->length = unfolding.at;
        score_mark_kinds(exercise->strokes, exercise->stroke_count);
    }
    return status;
}
