/* Dynamics and hairpins in the order of the paper, by the rules of docs/exercise-format.md: a
 * further ending goes on from the level before the first one. */
#include <stdlib.h>

#include "make.h"

struct levels {
    struct eh_reading *reading;
    size_t capacity;
    uint8_t dynamic; /* in force */
    uint8_t before_endings;
    int8_t swell; /* of the open hairpin; 0: none */
};

static enum eh_status add(struct levels *levels, size_t bar, eh_ticks at, int swell) {
    struct eh_reading *reading = levels->reading;
    if (reading->level_count > 0) {
        struct eh_reading_level *last = &reading->levels[reading->level_count - 1];
        if (last->bar == (int32_t)bar && last->at == at) {
            last->dynamic = levels->dynamic;
            last->swell = (int8_t)swell;
            return EH_OK;
        }
    }
    struct eh_reading_level *rows =
        reading_grow(reading->levels, &levels->capacity, reading->level_count + 1, sizeof *rows);
    if (rows == NULL) {
        return EH_NO_MEMORY;
    }
    reading->levels = rows;
    rows[reading->level_count++] = (struct eh_reading_level){
        .bar = (int32_t)bar, .at = at, .dynamic = levels->dynamic, .swell = (int8_t)swell};
    return EH_OK;
}

static enum eh_status add_mark(struct levels *levels, size_t bar, eh_ticks at, int mark) {
    if (mark < EH_DYNAMIC_COUNT) {
        levels->dynamic = (uint8_t)mark;
    } else if (levels->swell != 0) { /* one step on, where no mark says how far */
        levels->dynamic = (uint8_t)(levels->dynamic + levels->swell);
    }
    levels->swell = 0;
    if (mark == EH_MARK_CRESC || mark == EH_MARK_DIM) {
        levels->swell = mark == EH_MARK_CRESC ? 1 : -1;
    }
    return add(levels, bar, at, levels->swell);
}

static enum eh_status add_bar(struct levels *levels, const struct eh_exercise *exercise,
                              size_t index) {
    const struct eh_written_bar bar = eh_exercise_written_bar(exercise, (int)index);
    enum eh_status status = EH_OK;
    if ((bar.endings & 1u) != 0) {
        levels->before_endings = levels->dynamic;
    } else if (bar.endings != 0 && levels->dynamic != levels->before_endings) {
        levels->dynamic = levels->before_endings;
        status = add(levels, index, 0, 0);
    }
    for (size_t i = 0; status == EH_OK && i < bar.count; i++) {
        const struct eh_written_item item = eh_exercise_written_item(exercise, bar.first + i);
        if (item.kind == EH_WRITTEN_MARK) {
            status = add_mark(levels, index, item.at, item.mark);
        }
    }
    return status;
}

enum eh_status reading_add_levels(struct reading_making *making) {
    struct levels levels = {
        .reading = making->reading, .dynamic = EH_DYNAMIC_MF, .before_endings = EH_DYNAMIC_MF};
    enum eh_status status = add(&levels, 0, 0, 0);
    for (size_t i = 0; status == EH_OK && i < making->reading->bar_count; i++) {
        status = add_bar(&levels, making->exercise, i);
    }
    return status;
}

int eh_stick_height(enum eh_dynamic dynamic) {
    switch (dynamic) {
    case EH_DYNAMIC_P:
        return 30;
    case EH_DYNAMIC_MP:
        return 45;
    case EH_DYNAMIC_MF:
        return 60;
    case EH_DYNAMIC_F:
        return 90;
    case EH_DYNAMIC_FF:
        return 120;
    case EH_DYNAMIC_PPP:
    case EH_DYNAMIC_PP:
    case EH_DYNAMIC_FFF:
    case EH_DYNAMIC_COUNT:
        break;
    }
    return 0;
}
