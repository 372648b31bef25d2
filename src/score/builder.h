/* Builds an exercise note by note. Every reader (our text, and whatever notation file comes) uses
 * it, so that all of them obey the same rules and unfold in the same way.
 *
 * Order of calls: builder_init; for each bar bar_begin, what opens it, its items, bar_end;
 * builder_finish. After a call has failed only builder_drop may follow. Every call can fail with
 * EH_NO_MEMORY, EH_BAD_SYNTAX (the music breaks a rule; the place is PLACE or an earlier one) or
 * EH_TOO_LARGE (a limit of exercise_text.h). */
#ifndef SCORE_BUILDER_H
#define SCORE_BUILDER_H

#include "model.h"

/* One level of groups: how its notes are scaled, and where it began. */
struct score_level {
    int64_t times, over; /* length = plain length * times / over */
    uint8_t actual, normal;
    eh_ticks at;
    size_t first; /* index of its first item */
    struct score_place place;
};

struct score_builder {
    struct eh_exercise *exercise;
    struct eh_error *error;
    uint8_t beats, unit;
    eh_ticks at; /* in the open bar */
    bool barred; /* a bar is open */
    bool spilt;  /* ... and has gone past its end, first at: */
    struct score_place spilt_place;
    struct score_level levels[SCORE_DEPTH_MAX + 1];
    int depth;
};

struct score_length {
    uint8_t value; /* 0 = whole ... SCORE_VALUE_LAST */
    uint8_t dots;
};

enum score_text { SCORE_TITLE, SCORE_STYLE, SCORE_ABOUT };

EH_MUST_USE enum eh_status score_builder_init(struct score_builder *builder,
                                              struct eh_error *error);

/* Frees what was built so far; a dropped or finished builder is accepted. */
void score_builder_drop(struct score_builder *builder);

/* Appends TEXT (whole UTF-8 characters, none of U+0080 to U+009F), with a space between if there is
 * something already. White space and control characters become single spaces. */
EH_MUST_USE enum eh_status score_builder_text(struct score_builder *builder, enum score_text which,
                                              const char *text, size_t length,
                                              struct score_place place);

EH_MUST_USE enum eh_status score_builder_tempo(struct score_builder *builder, int32_t start_milli,
                                               int32_t goal_milli, struct score_place place);

/* Holds from the next bar on, or in the open bar if nothing sounds in it yet. */
EH_MUST_USE enum eh_status score_builder_metre(struct score_builder *builder, int beats, int unit,
                                               struct score_place place);

EH_MUST_USE enum eh_status score_bar_begin(struct score_builder *builder, struct score_place place);
EH_MUST_USE enum eh_status score_bar_end(struct score_builder *builder, struct score_place place);

/* For the open bar. */
void score_bar_repeat_from(struct score_builder *builder);
void score_bar_short(struct score_builder *builder);
EH_MUST_USE enum eh_status score_bar_ending(struct score_builder *builder, int number,
                                            struct score_place place);
/* For the bar that was ended last. */
EH_MUST_USE enum eh_status score_bar_repeat_back(struct score_builder *builder, int times,
                                                 struct score_place place);

EH_MUST_USE enum eh_status score_add_note(struct score_builder *builder, struct score_length length,
                                          const struct score_note *note, struct score_place place);
EH_MUST_USE enum eh_status score_add_rest(struct score_builder *builder, struct score_length length,
                                          struct score_place place);
EH_MUST_USE enum eh_status score_add_hold(struct score_builder *builder, struct score_length length,
                                          struct score_place place);
EH_MUST_USE enum eh_status score_group_begin(struct score_builder *builder, int actual, int normal,
                                             struct score_place place);
EH_MUST_USE enum eh_status score_group_end(struct score_builder *builder, struct score_place place);

/* MARK: an enum eh_dynamic, SCORE_CRESC, SCORE_DIM or SCORE_END. */
EH_MUST_USE enum eh_status score_add_mark(struct score_builder *builder, int mark,
                                          struct score_place place);

/* Unfolds what was written and hands the exercise over. END is where the text ends. Also
 * EH_EMPTY: no strokes. */
EH_MUST_USE enum eh_status score_builder_finish(struct score_builder *builder,
                                                struct eh_exercise **out_exercise,
                                                struct score_place end);

/* In how many a group of ACTUAL stands when nothing is said: 3 in 2, 5 in 4 ...; 0 = must be
 * said. */
int score_usual_normal(int actual);

/* Plain length in ticks, before any group scales it; 0 where ticks cannot express it. */
eh_ticks score_plain_length(struct score_length length);

#endif
