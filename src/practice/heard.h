/* The bars of a run without a click. */
#ifndef EH_PRACTICE_HEARD_H
#define EH_PRACTICE_HEARD_H

#include "evenhand/practice.h"

/* The next bar that the player has left; after the run's end the one that he was in. */
bool eh_practice_next_heard(struct eh_practice *practice, struct eh_practice_event *out_event);

/* What is waited for after a last stroke whose beat is so long. */
int64_t eh_practice_grace_ns(int64_t beat_ns);

/* How long a silence ends the run where two bars are so long. */
int64_t eh_practice_silence_ns(int64_t two_bars_ns);

#endif
