/* The clock of a run: the computer's, or a virtual one that runs as fast as it is asked to. */
#ifndef EVENHAND_CLI_PLAY_CLOCK_H
#define EVENHAND_CLI_PLAY_CLOCK_H

#include <stdbool.h>
#include <stdint.h>

struct play_clock {
    bool is_virtual;
    int64_t virtual_ns;
};

int64_t play_clock_now(const struct play_clock *clock);

/* Returns at UNTIL_NS, or earlier when a signal came. */
void play_clock_wait(struct play_clock *clock, int64_t until_ns);

/* From here on the first Ctrl-C (or SIGTERM, SIGHUP) only sets a mark; the second one ends the
 * program as if nobody had asked. */
void play_signals_catch(void);

/* The mark. */
bool play_signals_caught(void);

#endif
