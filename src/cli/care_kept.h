/* Care for the player's hands and ears in the course of a practice: what was shown when is kept in
 * the history, for each player. The demo player needs none. */
#ifndef EVENHAND_CLI_CARE_KEPT_H
#define EVENHAND_CLI_CARE_KEPT_H

#include "evenhand/care.h"
#include "play_keep.h"
#include "play_screen.h"

/* A run begins: says what is due. Without a history CARE knows what was said by this program. */
void care_begin(struct eh_care *care, const struct play_keep *keep,
                const struct play_options *options, const struct play_screen *screen);

/* It ended, KEEP still open. A run without a hit was no practice. */
void care_end(struct eh_care *care, const struct play_keep *keep,
              const struct play_options *options);

#endif
