/* The builder as other rooms see it. */
#include "evenhand/build.h"

#include <stdlib.h>

#include "builder.h"

_Static_assert((int)EH_HAND_UNSAID != (int)EH_HAND_LEFT &&
                   (int)EH_HAND_UNSAID != (int)EH_HAND_RIGHT,
               "no hand");

struct eh_builder {
    struct score_builder inner;
};

static struct score_place at(struct eh_place place) {
    return (struct score_place){.line = place.line, .column = place.column};
}

/* A length beyond what a byte holds is refused by the builder like any other that is too fine. */
static struct score_length length_of(int value, int dots) {
    const bool fits =
        value >= 0 && value <= SCORE_VALUE_LAST && dots >= 0 && dots <= SCORE_DOTS_MAX;
    return fits ? (struct score_length){.value = (uint8_t)value, .dots = (uint8_t)dots}
                : (struct score_length){.value = SCORE_VALUE_LAST + 1};
}

enum eh_status eh_builder_new(struct eh_builder **out, struct eh_error *error) {
    *out = NULL;
    struct eh_builder *builder = malloc(sizeof *builder);
    if (builder == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "not enough memory for an exercise");
    }
    const enum eh_status status = score_builder_init(&builder->inner, error);
    if (status != EH_OK) {
        free(builder);
        return status;
    }
    *out = builder;
    return EH_OK;
}

void eh_builder_free(struct eh_builder *builder) {
    if (builder != NULL) {
        score_builder_drop(&builder->inner);
        free(builder);
    }
}

enum eh_status eh_build_title(struct eh_builder *builder, const char *text, size_t length,
                              struct eh_place place) {
    return score_builder_text(&builder->inner, SCORE_TITLE, text, length, at(place));
}

enum eh_status eh_build_about(struct eh_builder *builder, const char *text, size_t length,
                              struct eh_place place) {
    return score_builder_text(&builder->inner, SCORE_ABOUT, text, length, at(place));
}

static bool is_style_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
}

enum eh_status eh_build_style(struct eh_builder *builder, const char *text, size_t length,
                              struct eh_place place) {
    for (size_t i = 0; i < length; i++) {
        if (!is_style_letter(text[i])) {
            return eh_fail_at(builder->inner.error, EH_BAD_SYNTAX, place.line, place.column,
                              "expected the name of a style (lower-case letters, digits, - and _), "
                              "found another character");
        }
    }
    return score_builder_text(&builder->inner, SCORE_STYLE, text, length, at(place));
}

enum eh_status eh_build_tempo(struct eh_builder *builder, int32_t start_milli, int32_t goal_milli,
                              struct eh_place place) {
    return score_builder_tempo(&builder->inner, start_milli, goal_milli, at(place));
}

enum eh_status eh_build_metre(struct eh_builder *builder, int beats, int unit,
                              struct eh_place place) {
    return score_builder_metre(&builder->inner, beats, unit, at(place));
}

enum eh_status eh_build_bar(struct eh_builder *builder, struct eh_place place) {
    return score_bar_begin(&builder->inner, at(place));
}

enum eh_status eh_build_bar_end(struct eh_builder *builder, struct eh_place place) {
    return score_bar_end(&builder->inner, at(place));
}

void eh_build_repeat_from(struct eh_builder *builder) {
    score_bar_repeat_from(&builder->inner);
}

void eh_build_short(struct eh_builder *builder) {
    score_bar_short(&builder->inner);
}

enum eh_status eh_build_ending(struct eh_builder *builder, int number, struct eh_place place) {
    return score_bar_ending(&builder->inner, number, at(place));
}

enum eh_status eh_build_repeat_back(struct eh_builder *builder, int times, struct eh_place place) {
    return score_bar_repeat_back(&builder->inner, times, at(place));
}

enum eh_status eh_build_note(struct eh_builder *builder, int value, int dots,
                             const struct eh_written_note *note, struct eh_place place) {
    const struct score_note inner = {.hand = note->hand,
                                     .accent = note->accent,
                                     .slashes = note->slashes,
                                     .grace_count = note->grace_count,
                                     .grace_hands = note->grace_hands,
                                     .buzz = note->buzz};
    if (note->slashes > SCORE_SLASHES_MAX) {
        return eh_fail_at(builder->inner.error, EH_TOO_LARGE, place.line, place.column,
                          "expected at most %d slashes on a note, found %d", SCORE_SLASHES_MAX,
                          note->slashes);
    }
    return score_add_note(&builder->inner, length_of(value, dots), &inner, at(place));
}

enum eh_status eh_build_rest(struct eh_builder *builder, int value, int dots,
                             struct eh_place place) {
    return score_add_rest(&builder->inner, length_of(value, dots), at(place));
}

enum eh_status eh_build_hold(struct eh_builder *builder, int value, int dots,
                             struct eh_place place) {
    return score_add_hold(&builder->inner, length_of(value, dots), at(place));
}

enum eh_status eh_build_group(struct eh_builder *builder, int actual, int normal,
                              struct eh_place place) {
    return score_group_begin(&builder->inner, actual, normal, at(place));
}

enum eh_status eh_build_group_end(struct eh_builder *builder, struct eh_place place) {
    return score_group_end(&builder->inner, at(place));
}

enum eh_status eh_build_mark(struct eh_builder *builder, int mark, struct eh_place place) {
    return score_add_mark(&builder->inner, mark, at(place));
}

enum eh_status eh_builder_finish(struct eh_builder *builder, struct eh_exercise **out,
                                 struct eh_place end) {
    return score_builder_finish(&builder->inner, out, at(end));
}
