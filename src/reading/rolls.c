/* Rolls: the rows of rolled notes or presses, and the hand motion under them. */
#include <stdlib.h>

#include "make.h"

/* A diddle or a press by itself is no roll; two of them are, with a closing stroke or without. One
 * note of three strokes or more is a roll of one hand. */
enum { LEAST_MOTIONS = 2, LEAST_STROKES = 3 };

struct finding {
    struct reading_making *making;
    size_t capacity; /* of the rolls */
};

static bool is_part(const struct reading_making *making, size_t place, bool buzz) {
    const struct reading_note *note = &making->notes[place];
    return buzz ? note->buzz : note->rolled;
}

/* Adds the note at PLACE to what is known of the roll's motion. */
static void add_note(struct eh_reading_roll *roll, const struct reading_making *making,
                     size_t place) {
    const struct reading_note *note = &making->notes[place];
    const uint32_t strokes = making->reading->places[place].strokes;
    roll->strokes += strokes;
    roll->last = place;
    if (!note->begins) {
        if (strokes > 0) { /* a held roll rolls on with the same hand */
            roll->each = 0;
        }
        return;
    }
    if (roll->motions == 0) {
        roll->value = note->value;
        roll->dots = note->dots;
        roll->group = note->group;
        roll->each = strokes;
        roll->even = true;
    }
    roll->motions++;
    roll->even = roll->even && roll->value == note->value && roll->dots == note->dots &&
                 roll->group == note->group;
    roll->each = roll->each == strokes ? strokes : 0;
}

/* Where the roll that begins at place FROM must end: at the next repeat or ending sign. What is
 * played on the other side of a sign is not one thing, so that no number would be right. BAR is the
 * bar of the place before; it moves on. */
static size_t end_of_stretch(const struct reading_making *making, size_t from, size_t *bar) {
    const struct eh_reading *reading = making->reading;
    while (*bar < reading->bar_count &&
           reading->bars[*bar].first + reading->bars[*bar].count <= from) {
        (*bar)++;
    }
    for (size_t i = *bar; i + 1 < reading->bar_count; i++) {
        const struct eh_reading_bar *next = &reading->bars[i + 1];
        if (reading->bars[i].times != 0 || next->repeat_from || next->endings != 0) {
            return next->first;
        }
    }
    return reading->place_count;
}

static struct eh_reading_roll gather(const struct reading_making *making, size_t from, size_t end,
                                     bool buzz) {
    struct eh_reading_roll roll = {.first = from, .last = from, .buzz = buzz};
    size_t place = from;
    while (place < end && is_part(making, place, buzz)) {
        add_note(&roll, making, place);
        place++;
    }
    if (!buzz && place < end) {
        const struct eh_reading_place *next = &making->reading->places[place];
        if (next->kind == EH_PLACE_STROKE && next->strokes == 1 && !next->buzz) {
            roll.closed = true;
            roll.last = place;
            roll.strokes++;
        }
    }
    return roll;
}

static enum eh_status keep(struct finding *finding, const struct eh_reading_roll *roll) {
    struct eh_reading *reading = finding->making->reading;
    struct eh_reading_roll *rolls =
        reading_grow(reading->rolls, &finding->capacity, reading->roll_count + 1, sizeof *rolls);
    if (rolls == NULL) {
        return EH_NO_MEMORY;
    }
    reading->rolls = rolls;
    for (size_t i = roll->first; i <= roll->last; i++) {
        reading->places[i].roll = (int32_t)reading->roll_count;
    }
    reading->rolls[reading->roll_count++] = *roll;
    return EH_OK;
}

enum eh_status reading_find_rolls(struct reading_making *making) {
    struct finding finding = {.making = making};
    enum eh_status status = EH_OK;
    size_t place = 0;
    size_t end = 0;
    size_t bar = 0;
    while (status == EH_OK && place < making->reading->place_count) {
        const struct reading_note *note = &making->notes[place];
        if (!note->rolled && !note->buzz) {
            place++;
            continue;
        }
        end = place < end ? end : end_of_stretch(making, place, &bar);
        const struct eh_reading_roll roll = gather(making, place, end, note->buzz);
        const uint32_t rolled = roll.strokes - (roll.closed ? 1 : 0);
        if (roll.motions >= LEAST_MOTIONS || (!note->buzz && rolled >= LEAST_STROKES)) {
            status = keep(&finding, &roll);
        }
        place = roll.closed ? roll.last : roll.last + 1;
    }
    return status;
}
