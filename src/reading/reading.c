/* A reading from end to end. */
#include "evenhand/reading.h"

#include <stdlib.h>

#include "make.h"

void *reading_grow(void *rows, size_t *capacity, size_t needed, size_t size) {
    if (needed <= *capacity) {
        return rows;
    }
    size_t wanted = *capacity < 16 ? 16 : *capacity * 2;
    wanted = wanted < needed ? needed : wanted;
    void *grown = realloc(rows, wanted * size);
    if (grown != NULL) {
        *capacity = wanted;
    }
    return grown;
}

/* Three units make a beat in 6/8, 9/8, 12/8 and the like in 16ths; a quarter is the beat where the
 * metre counts quarters; else the metre's unit. */
static void lay_beat(struct eh_reading_bar *bar) {
    bar->dotted = bar->unit >= 8 && bar->beats >= 6 && bar->beats % 3 == 0;
    bar->beat = READING_WHOLE / bar->unit * (bar->dotted ? 3 : 1);
}

/* A pick-up is counted up to the bar line. Of two short bars that make one metre together, as
 * around a repeat sign, the second goes on where the first left off. */
static eh_ticks offset_of(const struct eh_reading_bar *bars, size_t index) {
    const struct eh_reading_bar *bar = &bars[index];
    const eh_ticks whole = READING_WHOLE / bar->unit * bar->beats;
    if (!bar->is_short || bar->length >= whole) {
        return 0;
    }
    if (index == 0) {
        return whole - bar->length;
    }
    const struct eh_reading_bar *before = bar - 1;
    const bool completes = before->is_short && before->beats == bar->beats &&
                           before->unit == bar->unit &&
                           before->offset + before->length + bar->length == whole;
    return completes ? before->offset + before->length : 0;
}

static void lay_bars(struct eh_reading *reading, const struct eh_exercise *exercise) {
    for (size_t i = 0; i < reading->bar_count; i++) {
        const struct eh_written_bar written = eh_exercise_written_bar(exercise, (int)i);
        struct eh_reading_bar *bar = &reading->bars[i];
        *bar = (struct eh_reading_bar){.length = written.length,
                                       .number = (int32_t)i + 1,
                                       .beats = written.beats,
                                       .unit = written.unit,
                                       .is_short = written.is_short,
                                       .repeat_from = written.repeat_from,
                                       .times = written.times,
                                       .endings = written.endings};
        bar->new_metre = i == 0 || bar[-1].beats != written.beats || bar[-1].unit != written.unit;
        lay_beat(bar);
        bar->offset = offset_of(reading->bars, i);
    }
}

/* The first stroke of each written bar's first playing; SIZE_MAX where it has none. */
static void find_first_strokes(size_t *firsts, size_t bar_count,
                               const struct eh_exercise *exercise) {
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    for (size_t i = 0; i < bar_count; i++) {
        firsts[i] = SIZE_MAX;
    }
    for (size_t i = count; i > 0; i--) {
        const struct eh_stroke *stroke = &strokes[i - 1];
        firsts[stroke->bar - 1] = i - 1;
    }
}

static enum eh_status fill(struct reading_making *making, const size_t *firsts) {
    enum eh_status status = EH_OK;
    for (size_t i = 0; status == EH_OK && i < making->reading->bar_count; i++) {
        status = reading_add_places(making, i, firsts[i]);
    }
    if (status == EH_OK) {
        status = reading_find_rolls(making);
    }
    return status == EH_OK ? reading_add_levels(making) : status;
}

enum eh_status eh_reading_make(struct eh_reading *out, const struct eh_exercise *exercise) {
    *out = (struct eh_reading){.bar_count = (size_t)eh_exercise_bar_count(exercise)};
    struct reading_making making = {.reading = out, .exercise = exercise};
    out->bars = calloc(out->bar_count, sizeof *out->bars);
    size_t *firsts = calloc(out->bar_count, sizeof *firsts);
    enum eh_status status = EH_NO_MEMORY;
    if (out->bars != NULL && firsts != NULL) {
        lay_bars(out, exercise);
        find_first_strokes(firsts, out->bar_count, exercise);
        status = fill(&making, firsts);
    }
    free(firsts);
    free(making.notes);
    if (status != EH_OK) {
        eh_reading_deinit(out);
    }
    return status;
}

void eh_reading_deinit(struct eh_reading *reading) {
    free(reading->bars);
    free(reading->places);
    free(reading->rolls);
    free(reading->levels);
    *reading = (struct eh_reading){0};
}
