/* Passes by letters, for tests of the ladder's moves. */
#ifndef TESTS_LADDER_LETTERS_H
#define TESTS_LADDER_LETTERS_H

#include <stddef.h>

#include "evenhand/ladder.h"

enum { FINDINGS = 4 };

/* What a pass says, in one letter: c clean, l left seconds late, w left seconds weak, m missed
 * strokes, u unclear and near the limit from within, o unclear and just outside it, t the same but
 * surely outside when taken twice, e left seconds early, n nothing that
 * could be judged, f too few doubles to say, s levels at the top of the pad's range (unclear,
 * whatever is played). */
size_t letter_findings(char letter, struct eh_finding *out);

/* Ends the test where REQUEST is refused. */
void letter_ladder(struct eh_ladder *ladder, const struct eh_ladder_request *request);

/* Plays a pass of 20 s of LETTER at what is asked for; 'x': broken off. */
void letter_play(struct eh_ladder *ladder, char letter, int32_t sitting);

#endif
