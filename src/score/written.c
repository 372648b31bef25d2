/* What was written, shown to other rooms. */
#include "evenhand/written.h"

#include "builder.h"
#include "unfold.h"

/* The limits that other rooms see are this room's own. */
_Static_assert((int)EH_WRITTEN_VALUE_LAST == (int)SCORE_VALUE_LAST, "the shortest value");
_Static_assert((int)EH_WRITTEN_DOTS_MAX == (int)SCORE_DOTS_MAX, "dots");
_Static_assert((int)EH_WRITTEN_SLASHES_MAX == (int)SCORE_SLASHES_MAX, "slashes");
_Static_assert((int)EH_WRITTEN_DEPTH_MAX == (int)SCORE_DEPTH_MAX, "groups in groups");
_Static_assert((int)EH_WRITTEN_ENDINGS_MAX == (int)SCORE_ENDINGS_MAX, "endings");
_Static_assert((int)EH_WRITTEN_TIMES_MAX == (int)SCORE_TIMES_MAX, "times");
_Static_assert((int)EH_WRITTEN_BEATS_MAX == (int)SCORE_BEATS_MAX, "beats");
_Static_assert((int)EH_WRITTEN_UNIT_MAX == (int)SCORE_UNIT_MAX, "unit");
_Static_assert((int)EH_MARK_CRESC == (int)SCORE_CRESC && (int)EH_MARK_DIM == (int)SCORE_DIM &&
                   (int)EH_MARK_END == (int)SCORE_END,
               "marks");

enum { LAST_VALUE_WITHOUT_FLAG = 2 };

struct eh_written_bar eh_exercise_written_bar(const struct eh_exercise *exercise, int bar) {
    const struct score_bar *written = &exercise->bars[bar];
    return (struct eh_written_bar){.first = written->first,
                                   .count = written->count,
                                   .length = written->length,
                                   .beats = written->beats,
                                   .unit = written->unit,
                                   .is_short = written->is_short,
                                   .repeat_from = written->repeat_from,
                                   .times = written->times,
                                   .endings = written->endings};
}

static uint8_t kind_of(const struct score_item *item) {
    switch ((enum score_item_kind)item->kind) {
    case SCORE_NOTE:
        return EH_WRITTEN_NOTE;
    case SCORE_REST:
        return EH_WRITTEN_REST;
    case SCORE_HOLD:
        return EH_WRITTEN_HOLD;
    case SCORE_GROUP:
        return EH_WRITTEN_GROUP;
    case SCORE_GROUP_END:
        return EH_WRITTEN_GROUP_END;
    case SCORE_MARK:
        break;
    }
    return EH_WRITTEN_MARK;
}

struct eh_written_item eh_exercise_written_item(const struct eh_exercise *exercise, size_t index) {
    const struct score_item *item = &exercise->items[index];
    return (struct eh_written_item){.kind = kind_of(item),
                                    .value = item->value,
                                    .dots = item->dots,
                                    .actual = item->actual,
                                    .normal = item->normal,
                                    .mark = item->mark,
                                    .note = {.hand = item->note.hand,
                                             .accent = item->note.accent,
                                             .slashes = item->note.slashes,
                                             .grace_count = item->note.grace_count,
                                             .grace_hands = item->note.grace_hands,
                                             .buzz = item->note.buzz},
                                    .at = item->at,
                                    .length = item->length,
                                    .spacing =
                                        item->kind == SCORE_NOTE ? score_stroke_spacing(item) : 0};
}

eh_ticks eh_written_length(int value, int dots) {
    if (value < 0 || value > SCORE_VALUE_LAST || dots < 0 || dots > SCORE_DOTS_MAX) {
        return 0;
    }
    return score_plain_length(
        (struct score_length){.value = (uint8_t)value, .dots = (uint8_t)dots});
}

int eh_written_stroke_value(int value, int slashes) {
    if (slashes == 0) {
        return value;
    }
    return (value > LAST_VALUE_WITHOUT_FLAG ? value : LAST_VALUE_WITHOUT_FLAG) + slashes;
}
