/* Builds an exercise bar by bar and note by note: for readers of other notations than our text.
 * Whatever they read then obeys the same rules and unfolds in the same way.
 *
 * Order of calls: eh_builder_new; words, tempo; for each bar eh_build_bar, then what opens it (its
 * metre may also be said before), its items, eh_build_bar_end and perhaps eh_build_repeat_back;
 * eh_builder_finish; eh_builder_free in every case. After a call has failed only eh_builder_free
 * may follow. Every call can fail with EH_NO_MEMORY, EH_BAD_SYNTAX (the music breaks a rule of
 * docs/exercise-format.md) or EH_TOO_LARGE (a limit of exercise_text.h); the error then bears the
 * place that was given with the call, or that of an earlier one.
 *
 * Pure; one builder belongs to one thread at a time. */
#ifndef EVENHAND_BUILD_H
#define EVENHAND_BUILD_H

#include <stddef.h>

#include "evenhand/exercise.h"
#include "evenhand/status.h"
#include "evenhand/written.h"

struct eh_builder; /* opaque */

/* Where something stands in the text that is being read; 0 where that is not known. */
struct eh_place {
    int line;
    int column;
};

/* ERROR (NULL is accepted) must outlive the builder. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_builder_new(struct eh_builder **out, struct eh_error *error);

/* NULL is accepted. */
void eh_builder_free(struct eh_builder *builder);

/* Appends LENGTH bytes (whole UTF-8 characters, none of U+0080 to U+009F), with a space between if
 * there is something already; white space and control characters become single spaces. The style
 * is a name of a-z, 0-9, - and _. */
EH_MUST_USE enum eh_status eh_build_title(struct eh_builder *builder, const char *text,
                                          size_t length, struct eh_place place);
EH_MUST_USE enum eh_status eh_build_about(struct eh_builder *builder, const char *text,
                                          size_t length, struct eh_place place);
EH_MUST_USE enum eh_status eh_build_style(struct eh_builder *builder, const char *text,
                                          size_t length, struct eh_place place);

/* In thousandths of a quarter note a minute; START is not above GOAL. */
EH_MUST_USE enum eh_status eh_build_tempo(struct eh_builder *builder, int32_t start_milli,
                                          int32_t goal_milli, struct eh_place place);

/* Holds for the open bar if nothing sounds in it yet, and from there on. */
EH_MUST_USE enum eh_status eh_build_metre(struct eh_builder *builder, int beats, int unit,
                                          struct eh_place place);

EH_MUST_USE enum eh_status eh_build_bar(struct eh_builder *builder, struct eh_place place);
EH_MUST_USE enum eh_status eh_build_bar_end(struct eh_builder *builder, struct eh_place place);

/* For the open bar: a repeat begins before it; it does not fill its metre, on purpose; ending
 * NUMBER begins with it. */
void eh_build_repeat_from(struct eh_builder *builder);
void eh_build_short(struct eh_builder *builder);
EH_MUST_USE enum eh_status eh_build_ending(struct eh_builder *builder, int number,
                                           struct eh_place place);

/* After the bar that was ended last: a repeat ends, played TIMES in all. */
EH_MUST_USE enum eh_status eh_build_repeat_back(struct eh_builder *builder, int times,
                                                struct eh_place place);

EH_MUST_USE enum eh_status eh_build_note(struct eh_builder *builder, int value, int dots,
                                         const struct eh_written_note *note, struct eh_place place);
EH_MUST_USE enum eh_status eh_build_rest(struct eh_builder *builder, int value, int dots,
                                         struct eh_place place);
EH_MUST_USE enum eh_status eh_build_hold(struct eh_builder *builder, int value, int dots,
                                         struct eh_place place);
EH_MUST_USE enum eh_status eh_build_group(struct eh_builder *builder, int actual, int normal,
                                          struct eh_place place);
EH_MUST_USE enum eh_status eh_build_group_end(struct eh_builder *builder, struct eh_place place);

/* MARK: an enum eh_dynamic or enum eh_written_mark. */
EH_MUST_USE enum eh_status eh_build_mark(struct eh_builder *builder, int mark,
                                         struct eh_place place);

/* Unfolds what was written and hands the exercise over; it is the caller's to free. Also EH_EMPTY:
 * no strokes. END is where the text ends. */
EH_MUST_USE enum eh_status eh_builder_finish(struct eh_builder *builder, struct eh_exercise **out,
                                             struct eh_place end);

/* Sticking that nobody wrote ----------------------------------------------------------------- */

/* What stands for a hand that is not written, beside enum eh_hand. */
enum { EH_HAND_UNSAID = 2 };

/* Fills the unsaid ones of a row of hand motions (a stroke, a double, a buzz) by the default rule,
 * hand to hand: each motion by the other hand than the one before it, the first of all by the
 * right. Motions before the first that is written lead up to it in the same way. Common practice,
 * no source. */
void eh_hands_fill(uint8_t *hands, size_t count);

/* The hand of grace note K of COUNT (from 0, in playing order) before a main note of HAND, where it
 * is not written: one (flam) and two (drag) are of the other hand; three and more alternate and
 * lead into the main note from the other hand. Common practice, no source. */
enum eh_hand eh_hand_of_grace(enum eh_hand hand, int count, int k);

#endif
