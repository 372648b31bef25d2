/* The ladder's reason, one line a step. Each writes ladder->step.reason; to be called while the
 * ladder still stands at the tempo that it speaks of. */
#ifndef EVENHAND_LADDER_WORDS_H
#define EVENHAND_LADDER_WORDS_H

#include "evenhand/ladder.h"

void words_begin(struct eh_ladder *ladder);

/* OPEN: what stayed unclear although it was passed; NULL: nothing. */
void words_passed(struct eh_ladder *ladder, const struct eh_ladder_fault *open);
void words_back(struct eh_ladder *ladder, const struct eh_ladder_fault *fault);
void words_unclean(struct eh_ladder *ladder, const struct eh_ladder_fault *fault);
void words_together(struct eh_ladder *ladder, const struct eh_ladder_fault *fault);
void words_more(struct eh_ladder *ladder, const struct eh_ladder_fault *open);
void words_broken_off(struct eh_ladder *ladder);
void words_spent(struct eh_ladder *ladder);

#endif
