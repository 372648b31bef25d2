/* Giving coarsely stamped hits the exact times that were noted beside them. Pure.
 *
 * Two rows, both in order of arrival: hits, stamped when the driver's thread woke up, and timed
 * notes. The same note appears in both, unless one of the two missed it. A hit takes the first
 * timed note of its kind that came in the same wake-up; a hit without one keeps its stamp. */
#ifndef EVENHAND_MIDI_SHARPEN_H
#define EVENHAND_MIDI_SHARPEN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "jack_times.h"

enum { EH_SHARPEN_ROOM = 1024 };

/* The wake-ups of one period lie well within it; a late one needs some slack. */
#define EH_SHARPEN_SLACK_NS (2 * EH_NS_PER_MS)

struct eh_sharpen {
    struct eh_timed_note notes[EH_SHARPEN_ROOM]; /* a queue */
    size_t first, count;
    int64_t window_ns; /* wake-ups nearer than this may be the same */
    int64_t last_ns;   /* no hit goes before the one before it */
    uint64_t exact, coarse;
};

void eh_sharpen_init(struct eh_sharpen *sharpen, int64_t period_ns);

/* False when there is no room: sharpen some hits first. */
bool eh_sharpen_note(struct eh_sharpen *sharpen, const struct eh_timed_note *note);

enum eh_sharpened {
    EH_SHARPENED, /* HIT is final */
    EH_WAIT       /* its time may still come: SEEN_NS is not past it yet */
};

/* Settles HIT, the oldest that was not settled. SEEN_NS: all timed notes of wake-ups up to this one
 * have been handed over. NOW_NS bounds the waiting. */
enum eh_sharpened eh_sharpen_hit(struct eh_sharpen *sharpen, struct eh_hit *hit, int64_t seen_ns,
                                 int64_t now_ns);

#endif
