/* The hand motion of an exercise: the same bars with the rolls taken out of the hands' way.
 *
 * A double of a rolled note becomes its first stroke with the whole length, a press becomes a
 * single stroke, and grace notes stay out. Doubles that are written out become their first strokes
 * where four or more stand in a row (RRLLRRLL: a roll written out), each within its bar; fewer are
 * a figure, as in a paradiddle. Sticking, accents, dynamics, bars and repeats stay. A rolled note
 * of more than two strokes of one hand has no other motion than its strokes and stays as it is. How
 * rolls are practised: common practice, no source.
 *
 * Pure; any thread. */
#ifndef EVENHAND_HAND_MOTION_H
#define EVENHAND_HAND_MOTION_H

#include <stdbool.h>

#include "evenhand/exercise.h"
#include "evenhand/status.h"

enum { EH_MOTION_DOUBLES = 4 };

/* Whether anything in bars FROM to TO (written bars; 0: from the first, to the last) is a roll as
 * above. */
bool eh_exercise_has_rolls(const struct eh_exercise *exercise, int from, int to);

/* Makes the hand motion of the whole EXERCISE; it is the caller's to free. Errors: EH_NO_MEMORY,
 * EH_EMPTY (it has no rolls; the words say what to do instead). */
EH_MUST_USE enum eh_status eh_exercise_hand_motion(struct eh_exercise **out,
                                                   const struct eh_exercise *exercise,
                                                   struct eh_error *error);

#endif
