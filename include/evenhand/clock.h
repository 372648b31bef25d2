/* The one clock of live play.
 *
 * Hits, predicted clicks and everything that is compared with them are stamped with
 * CLOCK_MONOTONIC, in nanoseconds. */
#ifndef EVENHAND_CLOCK_H
#define EVENHAND_CLOCK_H

#include <stdint.h>

/* Marks what may run on a MIDI or audio callback thread: no allocation, no lock, no printing, no
 * file, nothing that can wait. A compiler that checks the promise (clang 20 and later) sees it. */
#if defined(__clang__) && defined(__has_attribute)
#if __has_attribute(nonblocking)
#define EH_RT_SAFE __attribute__((nonblocking))
#endif
#endif
#ifndef EH_RT_SAFE
#define EH_RT_SAFE
#endif

/* Now, on CLOCK_MONOTONIC. Any thread; RT_SAFE. */
int64_t eh_clock_now_ns(void) EH_RT_SAFE;

#endif
