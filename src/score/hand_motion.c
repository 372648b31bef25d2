#include "evenhand/hand_motion.h"

#include <stdlib.h>
#include <string.h>

#include "evenhand/build.h"
#include "evenhand/exercise_text.h"
#include "model.h"

/* What becomes of a stroke: of a written roll one stroke of its motion, of the second of two that
 * are written out a prolongation of the first. */
enum fate { STAYS, MOTION, SWALLOWED };

struct making {
    const struct eh_exercise *exercise;
    uint8_t *fates; /* by stroke */
    struct eh_builder *builder;
};

static bool is_pair(const struct eh_stroke *s, size_t first, size_t second) {
    return s[first].kind == EH_KIND_FIRST && s[second].kind == EH_KIND_SECOND &&
           s[first].roll == s[second].roll && s[first].played_bar == s[second].played_bar &&
           s[first].at + s[first].length == s[second].at; /* no rest between them */
}

static size_t next_main(const struct eh_stroke *s, size_t count, size_t from) {
    while (from < count && s[from].kind == EH_KIND_GRACE) {
        from++;
    }
    return from;
}

/* The doubles written out in a row from FROM on; OUT_END: the main stroke behind the last. */
static size_t count_pairs(const struct eh_stroke *s, size_t count, size_t from, size_t *out_end) {
    size_t pairs = 0;
    for (;;) {
        const size_t second = next_main(s, count, from < count ? from + 1 : count);
        if (second == count || s[from].roll || !is_pair(s, from, second)) {
            *out_end = from;
            return pairs;
        }
        pairs++;
        from = next_main(s, count, second + 1);
    }
}

static void mark_pairs(const struct eh_stroke *s, size_t count, uint8_t *fates) {
    size_t at = next_main(s, count, 0);
    while (at < count) {
        size_t end = at;
        const bool row = count_pairs(s, count, at, &end) >= EH_MOTION_DOUBLES;
        for (size_t i = at; row && i < end; i++) {
            fates[i] = s[i].kind == EH_KIND_SECOND ? SWALLOWED : STAYS;
        }
        at = end > at ? end : next_main(s, count, at + 1);
    }
}

static uint8_t *make_fates(const struct eh_exercise *exercise) {
    uint8_t *fates = calloc(exercise->stroke_count + 1, sizeof *fates);
    if (fates != NULL) {
        mark_pairs(exercise->strokes, exercise->stroke_count, fates);
    }
    return fates;
}

/* Whether what sounds at written item INDEX is prolonged. */
static bool is_held(const struct eh_exercise *exercise, size_t index) {
    for (size_t i = index + 1; i < exercise->item_count; i++) {
        const uint8_t kind = exercise->items[i].kind;
        if (kind == SCORE_NOTE || kind == SCORE_REST || kind == SCORE_HOLD) {
            return kind == SCORE_HOLD;
        }
    }
    return false;
}

/* A press, or a rolled note of two strokes (a held roll rolls on: it has more). */
static bool is_roll(const struct eh_exercise *exercise, size_t index) {
    const struct eh_written_item item = eh_exercise_written_item(exercise, index);
    const bool two = item.note.slashes > 0 && item.length == 2 * item.spacing;
    return item.kind == EH_WRITTEN_NOTE && (item.note.buzz || (two && !is_held(exercise, index)));
}

static bool has_row(const struct eh_exercise *exercise, int from, int to) {
    const struct eh_stroke *s = exercise->strokes;
    const size_t count = exercise->stroke_count;
    for (size_t i = next_main(s, count, 0); i < count;) {
        size_t end = i;
        const bool row = count_pairs(s, count, i, &end) >= EH_MOTION_DOUBLES;
        const size_t behind = end > i ? end : next_main(s, count, i + 1);
        for (size_t k = i; row && k < behind; k++) {
            if (s[k].bar >= from && s[k].bar <= to) {
                return true;
            }
        }
        i = behind;
    }
    return false;
}

bool eh_exercise_has_rolls(const struct eh_exercise *exercise, int from, int to) {
    const int last = to == 0 ? eh_exercise_bar_count(exercise) : to;
    for (int bar = from > 0 ? from : 1; bar <= last && bar <= (int)exercise->bar_count; bar++) {
        const struct score_bar *written = &exercise->bars[bar - 1];
        for (size_t i = 0; i < written->count; i++) {
            if (is_roll(exercise, written->first + i)) {
                return true;
            }
        }
    }
    return has_row(exercise, from, last);
}

static const struct eh_place nowhere = {0, 0};

static enum eh_status copy_head(const struct making *making) {
    static const char words[] = "(hand motion)";
    const struct eh_exercise *e = making->exercise;
    const char *title = eh_exercise_title(e);
    const char *about = eh_exercise_about(e);
    const char *style = eh_exercise_style(e);
    const size_t room = EH_EXERCISE_TITLE_MAX - sizeof words;
    enum eh_status status = EH_OK;
    if (title[0] != '\0' && strlen(title) <= room) {
        status = eh_build_title(making->builder, title, strlen(title), nowhere);
    }
    if (status == EH_OK) {
        status = eh_build_title(making->builder, words, sizeof words - 1, nowhere);
    }
    if (status == EH_OK && about[0] != '\0') {
        status = eh_build_about(making->builder, about, strlen(about), nowhere);
    }
    if (status == EH_OK && style[0] != '\0') {
        status = eh_build_style(making->builder, style, strlen(style), nowhere);
    }
    if (status == EH_OK) {
        status =
            eh_build_tempo(making->builder, e->tempo_start_milli, e->tempo_goal_milli, nowhere);
    }
    return status;
}

static enum eh_status copy_note(const struct making *making, const struct eh_written_item *item,
                                enum fate fate) {
    struct eh_written_note note = item->note;
    if (fate == SWALLOWED) {
        return eh_build_hold(making->builder, item->value, item->dots, nowhere);
    }
    note.grace_count = 0;
    note.grace_hands = 0;
    if (fate == MOTION) {
        note.slashes = 0;
        note.buzz = false;
    }
    return eh_build_note(making->builder, item->value, item->dots, &note, nowhere);
}

static enum eh_status copy_item(const struct making *making, const struct eh_written_item *item,
                                enum fate fate) {
    switch ((enum eh_written_kind)item->kind) {
    case EH_WRITTEN_NOTE:
        return copy_note(making, item, fate);
    case EH_WRITTEN_REST:
        return eh_build_rest(making->builder, item->value, item->dots, nowhere);
    case EH_WRITTEN_HOLD:
        return eh_build_hold(making->builder, item->value, item->dots, nowhere);
    case EH_WRITTEN_GROUP:
        return eh_build_group(making->builder, item->actual, item->normal, nowhere);
    case EH_WRITTEN_GROUP_END:
        return eh_build_group_end(making->builder, nowhere);
    case EH_WRITTEN_MARK:
        break;
    }
    return eh_build_mark(making->builder, item->mark, nowhere);
}

/* The first stroke of a written bar, the first time that it is played (another bar's, where it has
 * none); bars are first played in the order of writing, so that FROM, that of the bar before,
 * helps.
 */
static size_t find_bar(const struct eh_exercise *exercise, int bar, size_t from) {
    while (from < exercise->stroke_count && exercise->strokes[from].bar <= bar) {
        from++;
    }
    return from;
}

/* The strokes of a bar stand in the order of its notes. */
static enum fate fate_of(const struct making *making, const struct eh_written_item *item,
                         size_t *stroke) {
    const struct eh_exercise *e = making->exercise;
    const eh_ticks end = item->at + item->length;
    const size_t first = next_main(e->strokes, e->stroke_count, *stroke);
    const int32_t played = first < e->stroke_count ? e->strokes[first].played_bar : -1;
    const enum fate fate = first < e->stroke_count ? (enum fate)making->fates[first] : STAYS;
    *stroke = first;
    while (*stroke < e->stroke_count && e->strokes[*stroke].played_bar == played &&
           e->strokes[*stroke].in_bar < end) {
        (*stroke)++;
    }
    return fate;
}

static enum eh_status open_bar(const struct making *making, int bar,
                               const struct eh_written_bar *written) {
    enum eh_status status = eh_build_bar(making->builder, nowhere);
    if (status == EH_OK && written->repeat_from) {
        eh_build_repeat_from(making->builder);
    }
    if (status == EH_OK) {
        const struct eh_written_bar *before = written;
        struct eh_written_bar last;
        if (bar > 0) {
            last = eh_exercise_written_bar(making->exercise, bar - 1);
            before = &last;
        }
        if (bar == 0 || before->beats != written->beats || before->unit != written->unit) {
            status = eh_build_metre(making->builder, written->beats, written->unit, nowhere);
        }
    }
    if (status == EH_OK && written->is_short) {
        eh_build_short(making->builder);
    }
    for (int k = 0; status == EH_OK && k < EH_WRITTEN_ENDINGS_MAX; k++) {
        if ((written->endings >> k & 1u) != 0) {
            status = eh_build_ending(making->builder, k + 1, nowhere);
        }
    }
    return status;
}

static enum eh_status copy_bar(const struct making *making, int bar, size_t stroke) {
    const struct eh_written_bar written = eh_exercise_written_bar(making->exercise, bar);
    enum eh_status status = open_bar(making, bar, &written);
    for (size_t i = 0; status == EH_OK && i < written.count; i++) {
        const struct eh_written_item item =
            eh_exercise_written_item(making->exercise, written.first + i);
        const bool sounds = item.kind == EH_WRITTEN_NOTE || item.kind == EH_WRITTEN_HOLD;
        const enum fate fate = sounds ? fate_of(making, &item, &stroke) : STAYS;
        const bool roll = is_roll(making->exercise, written.first + i);
        status = copy_item(making, &item, roll ? MOTION : fate);
    }
    if (status == EH_OK) {
        status = eh_build_bar_end(making->builder, nowhere);
    }
    if (status == EH_OK && written.times != 0) {
        status = eh_build_repeat_back(making->builder, written.times, nowhere);
    }
    return status;
}

static enum eh_status copy_all(struct making *making, struct eh_exercise **out) {
    const int bars = eh_exercise_bar_count(making->exercise);
    size_t stroke = 0;
    enum eh_status status = copy_head(making);
    for (int bar = 0; status == EH_OK && bar < bars; bar++) {
        stroke = find_bar(making->exercise, bar, stroke);
        status = copy_bar(making, bar, stroke);
    }
    return status == EH_OK ? eh_builder_finish(making->builder, out, nowhere) : status;
}

enum eh_status eh_exercise_hand_motion(struct eh_exercise **out, const struct eh_exercise *exercise,
                                       struct eh_error *error) {
    *out = NULL;
    if (!eh_exercise_has_rolls(exercise, 0, 0)) {
        return eh_fail(error, EH_EMPTY,
                       "there are no rolls in this exercise, so that its hand motion is the "
                       "exercise itself; practise it as it is written");
    }
    struct making making = {.exercise = exercise, .fates = make_fates(exercise)};
    if (making.fates == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "not enough memory for an exercise");
    }
    enum eh_status status = eh_builder_new(&making.builder, error);
    if (status == EH_OK) {
        status = copy_all(&making, out);
    }
    eh_builder_free(making.builder);
    free(making.fates);
    return status;
}
