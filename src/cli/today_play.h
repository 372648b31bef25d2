/* The plan of a day, played: item after item, with nothing to be typed. */
#ifndef EVENHAND_CLI_TODAY_PLAY_H
#define EVENHAND_CLI_TODAY_PLAY_H

#include "sitting.h"
#include "today_history.h"

/* Plays AGENDA and says at its end what had failed before and is now. Returns what the program
 * leaves with. */
int today_play(struct sitting *sitting, const struct today_history *history,
               const struct eh_agenda *agenda);

#endif
