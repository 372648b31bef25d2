/* Keeping other people's libraries from writing on the terminal. Nothing is redirected: each
 * library is told so in its own way. */
#ifndef EVENHAND_QUIET_H
#define EVENHAND_QUIET_H

/* ALSA's library; once is enough. */
void eh_quiet_alsa(void);

/* libjack; anew after each Pa_Initialize, which sets a function of its own. */
void eh_quiet_jack(void);

#endif
