#include <stdlib.h>
#include <string.h>

#include "model.h"

void *score_grow(void *rows, size_t *capacity, size_t needed, size_t size) {
    if (needed <= *capacity) {
        return rows;
    }
    size_t roomy = *capacity == 0 ? 64 : *capacity;
    while (roomy < needed) {
        roomy *= 2;
    }
    if (roomy > SIZE_MAX / size) {
        return NULL;
    }
    void *grown = realloc(rows, roomy * size);
    if (grown != NULL) {
        *capacity = roomy;
    }
    return grown;
}

void eh_exercise_free(struct eh_exercise *exercise) {
    if (exercise == NULL) {
        return;
    }
    free(exercise->title);
    free(exercise->style);
    free(exercise->about);
    free(exercise->items);
    free(exercise->bars);
    free(exercise->played);
    free(exercise->strokes);
    free(exercise->hairpins);
    free(exercise);
}

static const char *or_empty(const char *text) {
    return text == NULL ? "" : text;
}

const char *eh_exercise_title(const struct eh_exercise *exercise) {
    return or_empty(exercise->title);
}

const char *eh_exercise_style(const struct eh_exercise *exercise) {
    return or_empty(exercise->style);
}

const char *eh_exercise_about(const struct eh_exercise *exercise) {
    return or_empty(exercise->about);
}

double eh_exercise_tempo_start(const struct eh_exercise *exercise) {
    return exercise->tempo_start_milli / 1000.0;
}

double eh_exercise_tempo_goal(const struct eh_exercise *exercise) {
    return exercise->tempo_goal_milli / 1000.0;
}

int eh_exercise_bar_count(const struct eh_exercise *exercise) {
    return (int)exercise->bar_count;
}

static void tell(size_t *out_count, size_t count) {
    if (out_count != NULL) {
        *out_count = count;
    }
}

const struct eh_stroke *eh_exercise_strokes(const struct eh_exercise *exercise, size_t *out_count) {
    tell(out_count, exercise->stroke_count);
    return exercise->strokes;
}

const struct eh_bar *eh_exercise_bars(const struct eh_exercise *exercise, size_t *out_count) {
    tell(out_count, exercise->played_count);
    return exercise->played;
}

const struct eh_hairpin *eh_exercise_hairpins(const struct eh_exercise *exercise,
                                              size_t *out_count) {
    tell(out_count, exercise->hairpin_count);
    return exercise->hairpins;
}

eh_ticks eh_exercise_length(const struct eh_exercise *exercise) {
    return exercise->length;
}

static bool notes_equal(const struct score_note *a, const struct score_note *b) {
    return a->hand == b->hand && a->accent == b->accent && a->slashes == b->slashes &&
           a->grace_count == b->grace_count && a->grace_hands == b->grace_hands &&
           a->buzz == b->buzz;
}

static bool items_equal(const struct score_item *a, const struct score_item *b) {
    return a->kind == b->kind && a->value == b->value && a->dots == b->dots &&
           a->actual == b->actual && a->normal == b->normal && a->mark == b->mark &&
           a->at == b->at && a->length == b->length && notes_equal(&a->note, &b->note);
}

static bool bars_equal(const struct score_bar *a, const struct score_bar *b) {
    return a->first == b->first && a->count == b->count && a->length == b->length &&
           a->beats == b->beats && a->unit == b->unit && a->is_short == b->is_short &&
           a->repeat_from == b->repeat_from && a->times == b->times && a->endings == b->endings;
}

static bool words_equal(const struct eh_exercise *a, const struct eh_exercise *b) {
    return strcmp(or_empty(a->title), or_empty(b->title)) == 0 &&
           strcmp(or_empty(a->style), or_empty(b->style)) == 0 &&
           strcmp(or_empty(a->about), or_empty(b->about)) == 0 &&
           a->tempo_start_milli == b->tempo_start_milli &&
           a->tempo_goal_milli == b->tempo_goal_milli;
}

bool eh_exercise_equal(const struct eh_exercise *a, const struct eh_exercise *b) {
    if (!words_equal(a, b) || a->bar_count != b->bar_count || a->item_count != b->item_count) {
        return false;
    }
    for (size_t i = 0; i < a->bar_count; i++) {
        if (!bars_equal(&a->bars[i], &b->bars[i])) {
            return false;
        }
    }
    for (size_t i = 0; i < a->item_count; i++) {
        if (!items_equal(&a->items[i], &b->items[i])) {
            return false;
        }
    }
    return true;
}
