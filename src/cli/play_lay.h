/* What `play` and `demo` lay out alike before anything sounds. */
#ifndef EVENHAND_CLI_PLAY_LAY_H
#define EVENHAND_CLI_PLAY_LAY_H

#include "evenhand/practice.h"
#include "exercise_find.h"

/* Lays EXERCISE out as REQUEST says; its tempo is TEMPO, or the exercise's own where TEMPO is NAN.
 * *OUT_BPM is the one that holds. CLI_GOOD, or CLI_FAILED after a complaint. */
int play_lay(struct eh_practice *out_practice, const struct found_exercise *exercise,
             struct eh_practice_request request, double tempo, double *out_bpm);

#endif
