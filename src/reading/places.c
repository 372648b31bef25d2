/* The places of a bar: what is written, the beats between, and the strokes that fall there. */
#include <stdlib.h>

#include "make.h"

/* The walk through a bar's items. */
struct walk {
    struct reading_making *making;
    struct eh_reading_bar *bar;
    uint8_t actual[EH_WRITTEN_DEPTH_MAX]; /* of the open groups, the innermost last */
    eh_ticks opened[EH_WRITTEN_DEPTH_MAX];
    int depth;
    uint64_t thirds; /* bit: a beat that a group divides by three */
};

/* What a hold goes on with; in the bar, or before it. */
static struct reading_note sounding_before(const struct reading_making *making) {
    const size_t count = making->reading->place_count;
    if (count == 0) {
        return (struct reading_note){0};
    }
    struct reading_note note = making->notes[count - 1];
    note.begins = false;
    return note;
}

static enum eh_status push(struct walk *walk, eh_ticks at, enum eh_place_kind kind,
                           struct reading_note note) {
    struct reading_making *making = walk->making;
    struct eh_reading *reading = making->reading;
    const size_t needed = reading->place_count + 1;
    size_t capacity = making->capacity;
    struct eh_reading_place *places =
        reading_grow(reading->places, &capacity, needed, sizeof *places);
    if (places == NULL) {
        return EH_NO_MEMORY;
    }
    reading->places = places;
    struct reading_note *notes =
        reading_grow(making->notes, &making->capacity, needed, sizeof *notes);
    if (notes == NULL) {
        return EH_NO_MEMORY;
    }
    making->notes = notes;
    making->notes[reading->place_count] = note;
    reading->places[reading->place_count++] =
        (struct eh_reading_place){.at = at, .kind = (uint8_t)kind, .roll = EH_READING_NO_ROLL};
    walk->bar->count++;
    return EH_OK;
}

/* The beats after the last place and before TO at which nothing is written. */
static enum eh_status push_beats(struct walk *walk, eh_ticks to) {
    const struct eh_reading_bar *bar = walk->bar;
    const struct eh_reading *reading = walk->making->reading;
    const eh_ticks after = bar->count == 0 ? -1 : reading->places[reading->place_count - 1].at;
    eh_ticks at = (after + 1 + bar->offset + bar->beat - 1) / bar->beat * bar->beat - bar->offset;
    enum eh_status status = EH_OK;
    for (; status == EH_OK && at < to; at += bar->beat) {
        status = push(walk, at, EH_PLACE_BEAT, sounding_before(walk->making));
    }
    return status;
}

static void close_group(struct walk *walk, eh_ticks at) {
    const struct eh_reading_bar *bar = walk->bar;
    walk->depth--;
    const eh_ticks from = walk->opened[walk->depth] + bar->offset;
    const eh_ticks to = at + bar->offset;
    if (walk->actual[walk->depth] != 3 || from % bar->beat != 0 || to % bar->beat != 0) {
        return;
    }
    for (eh_ticks beat = from / bar->beat; beat < to / bar->beat && beat < 64; beat++) {
        walk->thirds |= UINT64_C(1) << beat;
    }
}

static enum eh_status push_sound(struct walk *walk, const struct eh_written_item *item) {
    const enum eh_status status = push_beats(walk, item->at);
    if (status != EH_OK) {
        return status;
    }
    struct reading_note note = {0};
    enum eh_place_kind kind = EH_PLACE_REST;
    if (item->kind == EH_WRITTEN_NOTE) {
        kind = EH_PLACE_STROKE;
        note = (struct reading_note){.rolled = item->note.slashes > 0,
                                     .buzz = item->note.buzz,
                                     .begins = true,
                                     .value = item->value,
                                     .dots = item->dots,
                                     .group = walk->depth == 0 ? 0 : walk->actual[walk->depth - 1]};
    } else if (item->kind == EH_WRITTEN_HOLD) {
        kind = EH_PLACE_HOLD;
        note = sounding_before(walk->making);
    }
    return push(walk, item->at, kind, note);
}

static enum eh_status walk_item(struct walk *walk, const struct eh_written_item *item) {
    switch ((enum eh_written_kind)item->kind) {
    case EH_WRITTEN_NOTE:
    case EH_WRITTEN_REST:
    case EH_WRITTEN_HOLD:
        return push_sound(walk, item);
    case EH_WRITTEN_GROUP:
        walk->actual[walk->depth] = item->actual;
        walk->opened[walk->depth] = item->at;
        walk->depth++;
        return EH_OK;
    case EH_WRITTEN_GROUP_END:
        close_group(walk, item->at);
        return EH_OK;
    case EH_WRITTEN_MARK:
        break;
    }
    return EH_OK;
}

static void add_stroke(struct eh_reading_place *place, const struct eh_stroke *stroke) {
    if (stroke->kind == EH_KIND_GRACE) {
        place->grace_hands |= (uint8_t)((stroke->hand & 1u) << place->grace_count);
        place->grace_count++;
        return;
    }
    if (place->strokes == 0) {
        place->hand = stroke->hand;
        place->accent = stroke->accent;
        place->buzz = stroke->kind == EH_KIND_BUZZ;
    }
    place->strokes++;
}

/* Every stroke of the bar's first playing to the place at which, or after which, it falls. */
static void add_strokes(const struct walk *walk, size_t first_stroke) {
    const struct eh_reading_bar *bar = walk->bar;
    struct eh_reading_place *places = &walk->making->reading->places[bar->first];
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(walk->making->exercise, &count);
    size_t place = 0;
    for (size_t i = first_stroke;
         i < count && strokes[i].played_bar == strokes[first_stroke].played_bar; i++) {
        while (place + 1 < bar->count && places[place + 1].at <= strokes[i].in_bar) {
            place++;
        }
        add_stroke(&places[place], &strokes[i]);
    }
}

enum eh_status reading_add_places(struct reading_making *making, size_t index,
                                  size_t first_stroke) {
    struct eh_reading_bar *bar = &making->reading->bars[index];
    struct walk walk = {.making = making, .bar = bar};
    bar->first = making->reading->place_count;
    const struct eh_written_bar written = eh_exercise_written_bar(making->exercise, (int)index);
    enum eh_status status = EH_OK;
    for (size_t i = 0; status == EH_OK && i < written.count; i++) {
        const struct eh_written_item item =
            eh_exercise_written_item(making->exercise, written.first + i);
        status = walk_item(&walk, &item);
    }
    if (status == EH_OK) {
        status = push_beats(&walk, bar->length);
    }
    if (status == EH_OK) {
        reading_count(bar, &making->reading->places[bar->first], bar->count, walk.thirds);
        if (first_stroke != SIZE_MAX) {
            add_strokes(&walk, first_stroke);
        }
    }
    return status;
}
