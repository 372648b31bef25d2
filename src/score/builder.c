#include "builder.h"

#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "fraction.h"
#include "unfold.h"

enum { TEMPO_START_MILLI = 80000, TEMPO_GOAL_MILLI = 120000, MILLI = 1000 };

enum eh_status score_builder_init(struct score_builder *builder, struct eh_error *error) {
    *builder = (struct score_builder){.error = error, .beats = 4, .unit = 4};
    builder->levels[0] = (struct score_level){.times = 1, .over = 1};
    builder->exercise = calloc(1, sizeof *builder->exercise);
    if (builder->exercise == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "not enough memory for an exercise");
    }
    builder->exercise->tempo_start_milli = TEMPO_START_MILLI;
    builder->exercise->tempo_goal_milli = TEMPO_GOAL_MILLI;
    return EH_OK;
}

void score_builder_drop(struct score_builder *builder) {
    eh_exercise_free(builder->exercise);
    builder->exercise = NULL;
}

static enum eh_status no_memory(const struct score_builder *builder) {
    return eh_fail(builder->error, EH_NO_MEMORY, "not enough memory for the exercise");
}

static enum eh_status wrong(const struct score_builder *builder, struct score_place place,
                            const char *text) {
    return eh_fail_at(builder->error, EH_BAD_SYNTAX, place.line, place.column, "%s", text);
}

/* Words ------------------------------------------------------------------------------------- */

static char **text_field(struct eh_exercise *exercise, enum score_text which) {
    switch (which) {
    case SCORE_TITLE:
        return &exercise->title;
    case SCORE_STYLE:
        return &exercise->style;
    case SCORE_ABOUT:
        return &exercise->about;
    }
    return NULL;
}

static size_t text_limit(enum score_text which) {
    switch (which) {
    case SCORE_TITLE:
        return EH_EXERCISE_TITLE_MAX;
    case SCORE_STYLE:
        return EH_EXERCISE_STYLE_MAX;
    case SCORE_ABOUT:
        return EH_EXERCISE_ABOUT_MAX;
    }
    return 0;
}

static bool is_blank(char c) {
    return (unsigned char)c <= ' ' || c == 0x7f;
}

/* Copies words with single spaces between them to the end of OUT, which has room. */
static void copy_words(char *out, const char *text, size_t length) {
    char *at = out + strlen(out);
    bool gap = at != out;
    for (size_t i = 0; i < length; i++) {
        if (is_blank(text[i])) {
            gap = at != out;
            continue;
        }
        if (gap) {
            *at++ = ' ';
        }
        gap = false;
        *at++ = text[i];
    }
    *at = '\0';
}

enum eh_status score_builder_text(struct score_builder *builder, enum score_text which,
                                  const char *text, size_t length, struct score_place place) {
    char **field = text_field(builder->exercise, which);
    const size_t had = *field == NULL ? 0 : strlen(*field);
    char *longer = malloc(had + length + 2);
    if (longer == NULL) {
        return no_memory(builder);
    }
    memcpy(longer, *field == NULL ? "" : *field, had);
    longer[had] = '\0';
    copy_words(longer, text, length);
    free(*field);
    *field = longer;
    if (strlen(longer) > text_limit(which)) {
        return eh_fail_at(builder->error, EH_TOO_LARGE, place.line, place.column,
                          "expected at most %zu bytes here, found %zu", text_limit(which),
                          strlen(longer));
    }
    return EH_OK;
}

enum eh_status score_builder_tempo(struct score_builder *builder, int32_t start_milli,
                                   int32_t goal_milli, struct score_place place) {
    const int32_t low = (int32_t)EH_TEMPO_MIN * MILLI;
    const int32_t high = (int32_t)EH_TEMPO_MAX * MILLI;
    if (start_milli < low || start_milli > high || goal_milli < low || goal_milli > high) {
        const bool start_off = start_milli < low || start_milli > high;
        return eh_fail_at(builder->error, EH_BAD_SYNTAX, place.line, place.column,
                          "expected a tempo from %d to %d quarter notes a minute, found %d.%03d",
                          (int)EH_TEMPO_MIN, (int)EH_TEMPO_MAX,
                          (int)(start_off ? start_milli : goal_milli) / MILLI,
                          (int)(start_off ? start_milli : goal_milli) % MILLI);
    }
    if (start_milli > goal_milli) {
        return wrong(builder, place, "expected the slower tempo first, found the faster one");
    }
    builder->exercise->tempo_start_milli = start_milli;
    builder->exercise->tempo_goal_milli = goal_milli;
    return EH_OK;
}

/* Bars -------------------------------------------------------------------------------------- */

static struct score_bar *last_bar(struct score_builder *builder) {
    return &builder->exercise->bars[builder->exercise->bar_count - 1];
}

static bool is_power_of_two(int n) {
    return n > 0 && (n & (n - 1)) == 0;
}

enum eh_status score_builder_metre(struct score_builder *builder, int beats, int unit,
                                   struct score_place place) {
    if (beats < 1 || beats > SCORE_BEATS_MAX || unit > SCORE_UNIT_MAX || !is_power_of_two(unit)) {
        return eh_fail_at(builder->error, EH_BAD_SYNTAX, place.line, place.column,
                          "expected a metre of 1 to %d beats of 1, 2, 4, 8, 16, 32 or %d, "
                          "found %d/%d",
                          SCORE_BEATS_MAX, SCORE_UNIT_MAX, beats, unit);
    }
    builder->beats = (uint8_t)beats;
    builder->unit = (uint8_t)unit;
    if (builder->barred) {
        last_bar(builder)->beats = builder->beats;
        last_bar(builder)->unit = builder->unit;
    }
    return EH_OK;
}

enum eh_status score_bar_begin(struct score_builder *builder, struct score_place place) {
    struct eh_exercise *exercise = builder->exercise;
    if (exercise->bar_count == EH_EXERCISE_BARS_MAX) {
        return eh_fail_at(builder->error, EH_TOO_LARGE, place.line, place.column,
                          "expected at most %d bars, found another", EH_EXERCISE_BARS_MAX);
    }
    struct score_bar *bars =
        score_grow(exercise->bars, &exercise->bar_capacity, exercise->bar_count + 1, sizeof *bars);
    if (bars == NULL) {
        return no_memory(builder);
    }
    exercise->bars = bars;
    bars[exercise->bar_count++] = (struct score_bar){.first = exercise->item_count,
                                                     .at = exercise->length,
                                                     .beats = builder->beats,
                                                     .unit = builder->unit,
                                                     .place = place};
    builder->at = 0;
    builder->barred = true;
    builder->spilt = false;
    return EH_OK;
}

void score_bar_repeat_from(struct score_builder *builder) {
    last_bar(builder)->repeat_from = true;
}

void score_bar_short(struct score_builder *builder) {
    last_bar(builder)->is_short = true;
}

enum eh_status score_bar_ending(struct score_builder *builder, int number,
                                struct score_place place) {
    struct score_bar *bar = last_bar(builder);
    if (number < 1 || number > SCORE_ENDINGS_MAX) {
        return eh_fail_at(builder->error, EH_BAD_SYNTAX, place.line, place.column,
                          "expected an ending from 1 to %d, found %d", SCORE_ENDINGS_MAX, number);
    }
    const unsigned bit = 1u << (number - 1);
    if (bar->endings >= bit) {
        return wrong(builder, place,
                     "expected the endings in rising order, found a lower number after a higher");
    }
    bar->endings = (uint16_t)(bar->endings | bit);
    return EH_OK;
}

/* Both directions of a bar that does not fill its metre. */
static enum eh_status misfit(const struct score_builder *builder, struct score_place place,
                             eh_ticks metre) {
    const struct score_bar *bar = &builder->exercise->bars[builder->exercise->bar_count - 1];
    const struct score_fraction found = score_fraction(builder->at, SCORE_WHOLE);
    const struct score_fraction off = score_fraction(
        metre > builder->at ? metre - builder->at : builder->at - metre, SCORE_WHOLE);
    return eh_fail_at(builder->error, EH_BAD_SYNTAX, place.line, place.column,
                      "expected bar %zu to hold %d/%d, found %lld/%lld: %lld/%lld %s",
                      builder->exercise->bar_count, bar->beats, bar->unit, found.over, found.under,
                      off.over, off.under, metre > builder->at ? "is missing" : "too much");
}

static enum eh_status check_filled(const struct score_builder *builder, struct score_place place) {
    const struct score_bar *bar = &builder->exercise->bars[builder->exercise->bar_count - 1];
    const eh_ticks metre = score_metre_length(bar->beats, bar->unit);
    if (builder->at > metre) {
        return misfit(builder, builder->spilt_place, metre);
    }
    if (builder->at == 0) {
        return wrong(builder, place, "expected a note or a rest in the bar, found none");
    }
    if (bar->is_short && builder->at == metre) {
        return wrong(builder, bar->place,
                     "expected the short bar to stay below its metre, found it full: leave out the "
                     "word pickup or short");
    }
    return !bar->is_short && builder->at < metre ? misfit(builder, place, metre) : EH_OK;
}

enum eh_status score_bar_end(struct score_builder *builder, struct score_place place) {
    if (builder->depth > 0) {
        return wrong(builder, place, "expected ] before the end of the bar, found the bar's end");
    }
    const enum eh_status status = check_filled(builder, place);
    struct score_bar *bar = last_bar(builder);
    bar->count = builder->exercise->item_count - bar->first;
    bar->length = builder->at;
    bar->end = place;
    builder->exercise->length += bar->length;
    builder->barred = false;
    return status;
}

enum eh_status score_bar_repeat_back(struct score_builder *builder, int times,
                                     struct score_place place) {
    if (times < 2 || times > SCORE_TIMES_MAX) {
        return eh_fail_at(builder->error, EH_BAD_SYNTAX, place.line, place.column,
                          "expected a repeat to be played 2 to %d times, found %d", SCORE_TIMES_MAX,
                          times);
    }
    last_bar(builder)->times = (uint8_t)times;
    last_bar(builder)->end = place;
    return EH_OK;
}

/* Items ------------------------------------------------------------------------------------- */

eh_ticks score_plain_length(struct score_length length) {
    if (length.value > SCORE_VALUE_LAST || length.dots > SCORE_DOTS_MAX) {
        return 0;
    }
    const eh_ticks plain = SCORE_WHOLE >> length.value;
    const eh_ticks dotted = (2 << length.dots) - 1; /* 1, 3/2, 7/4 */
    return plain * dotted % (1 << length.dots) == 0 ? plain * dotted / (1 << length.dots) : 0;
}

static enum eh_status append(struct score_builder *builder, const struct score_item *item) {
    struct eh_exercise *exercise = builder->exercise;
    struct score_item *items = score_grow(exercise->items, &exercise->item_capacity,
                                          exercise->item_count + 1, sizeof *items);
    if (items == NULL) {
        return no_memory(builder);
    }
    exercise->items = items;
    items[exercise->item_count] = *item;
    items[exercise->item_count++].at = builder->at;
    return EH_OK;
}

static enum eh_status append_timed(struct score_builder *builder, struct score_length length,
                                   struct score_item *item) {
    const struct score_level *level = &builder->levels[builder->depth];
    const eh_ticks scaled = score_plain_length(length) * level->times;
    if (scaled == 0 || scaled % level->over != 0) {
        return wrong(builder, item->place,
                     "expected a length that a quarter note in 20160 parts can hold, found a finer "
                     "one");
    }
    item->value = length.value;
    item->dots = length.dots;
    item->length = scaled / level->over;
    const enum eh_status status = append(builder, item);
    const struct score_bar *bar = last_bar(builder);
    builder->at += item->length;
    if (!builder->spilt && builder->at > score_metre_length(bar->beats, bar->unit)) {
        builder->spilt = true;
        builder->spilt_place = item->place;
    }
    return status;
}

/* Measured tremolo divides the note evenly into strokes. */
static bool tremolo_divides(const struct score_item *item) {
    eh_ticks spacing = score_stroke_spacing(item);
    return spacing > 0 && item->length % spacing == 0;
}

enum eh_status score_add_note(struct score_builder *builder, struct score_length length,
                              const struct score_note *note, struct score_place place) {
    if (note->grace_count > EH_EXERCISE_GRACES_MAX) {
        return eh_fail_at(builder->error, EH_TOO_LARGE, place.line, place.column,
                          "expected at most %d grace notes before a note, found %d",
                          EH_EXERCISE_GRACES_MAX, note->grace_count);
    }
    struct score_item item = {.kind = SCORE_NOTE, .note = *note, .place = place};
    const enum eh_status status = append_timed(builder, length, &item);
    if (status == EH_OK && note->slashes > 0 && !tremolo_divides(&item)) {
        return wrong(builder, place,
                     "expected slashes that divide the note evenly, found a part left over: use "
                     "another number of slashes");
    }
    return status;
}

enum eh_status score_add_rest(struct score_builder *builder, struct score_length length,
                              struct score_place place) {
    struct score_item item = {.kind = SCORE_REST, .place = place};
    return append_timed(builder, length, &item);
}

enum eh_status score_add_hold(struct score_builder *builder, struct score_length length,
                              struct score_place place) {
    struct score_item item = {.kind = SCORE_HOLD, .place = place};
    return append_timed(builder, length, &item);
}

enum eh_status score_add_mark(struct score_builder *builder, int mark, struct score_place place) {
    const struct score_item item = {.kind = SCORE_MARK, .mark = (uint8_t)mark, .place = place};
    return append(builder, &item);
}

/* Groups ------------------------------------------------------------------------------------ */

int score_usual_normal(int actual) {
    static const uint8_t usual[] = {0, 0, 3, 2, 3, 4, 4, 4, 6, 8, 8};
    return actual >= 2 && actual < (int)sizeof usual ? usual[actual] : 0;
}

enum eh_status score_group_begin(struct score_builder *builder, int actual, int normal,
                                 struct score_place place) {
    if (actual < 2 || actual > 15 || normal < 1 || normal > 16 || actual == normal) {
        return eh_fail_at(builder->error, EH_BAD_SYNTAX, place.line, place.column,
                          "expected a group of 2 to 15 notes in the time of another number up to "
                          "16, found %d in %d",
                          actual, normal);
    }
    if (builder->depth == SCORE_DEPTH_MAX) {
        return eh_fail_at(builder->error, EH_TOO_LARGE, place.line, place.column,
                          "expected groups at most %d deep, found a deeper one", SCORE_DEPTH_MAX);
    }
    const struct score_level *outer = &builder->levels[builder->depth];
    const struct score_fraction scale = score_fraction(outer->times * normal, outer->over * actual);
    builder->levels[++builder->depth] = (struct score_level){.times = scale.over,
                                                             .over = scale.under,
                                                             .actual = (uint8_t)actual,
                                                             .normal = (uint8_t)normal,
                                                             .at = builder->at,
                                                             .first = builder->exercise->item_count,
                                                             .place = place};
    const struct score_item item = {
        .kind = SCORE_GROUP, .actual = (uint8_t)actual, .normal = (uint8_t)normal, .place = place};
    return append(builder, &item);
}

/* A group of 3 holds as much as 3 equal plain notes, however they are cut. */
static bool group_adds_up(const struct score_level *level, eh_ticks plain) {
    for (int value = 0; value <= SCORE_VALUE_LAST; value++) {
        if (plain == (SCORE_WHOLE >> value) * level->actual) {
            return true;
        }
    }
    return false;
}

enum eh_status score_group_end(struct score_builder *builder, struct score_place place) {
    if (builder->depth == 0) {
        return wrong(builder, place, "expected a note or a bar line, found ] without its [");
    }
    const struct score_level *level = &builder->levels[builder->depth--];
    /* The group's own plain length: undo its scale, and that of the groups around it. */
    const eh_ticks scaled = (builder->at - level->at) * level->over;
    const eh_ticks plain = scaled % level->times == 0 ? scaled / level->times : 0;
    if (!group_adds_up(level, plain)) {
        const struct score_fraction found = score_fraction(plain, SCORE_WHOLE);
        return eh_fail_at(builder->error, EH_BAD_SYNTAX, level->place.line, level->place.column,
                          "expected the group of %d to add up to %d equal notes, found %lld/%lld "
                          "in it",
                          level->actual, level->actual, found.over, found.under);
    }
    const struct score_item item = {.kind = SCORE_GROUP_END, .place = place};
    return append(builder, &item);
}

/* The end ----------------------------------------------------------------------------------- */

enum eh_status score_builder_finish(struct score_builder *builder,
                                    struct eh_exercise **out_exercise, struct score_place end) {
    const enum eh_status status = score_unfold(builder->exercise, builder->error);
    if (status != EH_OK) {
        return status;
    }
    if (builder->exercise->stroke_count == 0) {
        return eh_fail_at(builder->error, EH_EMPTY, end.line, end.column,
                          "expected at least one note (R or L), found none");
    }
    *out_exercise = builder->exercise;
    builder->exercise = NULL;
    return EH_OK;
}
