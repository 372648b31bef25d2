/* The end of a run: the judgement of the whole of it, said and kept. */
#ifndef EVENHAND_CLI_PLAY_END_H
#define EVENHAND_CLI_PLAY_END_H

#include "play_run.h"

/* Returns what the program leaves with. */
int play_end(struct play_run *run);

#endif
