/* Exact times of notes that come through JACK.
 *
 * RtMidi does not look at an event's place inside its period, so its callback can stamp a note
 * only to the period (256 frames: 5.3 ms). The watching client therefore gets a port of its own,
 * connected to whatever our RtMidi port is connected to, and notes for each event the frame at
 * which it happened. The notes themselves still come through RtMidi; here are only their times. */
#ifndef EVENHAND_JACK_TIMES_H
#define EVENHAND_JACK_TIMES_H

#include <stdbool.h>
#include <stdint.h>

struct eh_timed_note {
    int64_t at_ns;   /* CLOCK_MONOTONIC, to the frame */
    int64_t seen_ns; /* CLOCK_MONOTONIC of the wake-up in which it came */
    uint8_t note, channel, velocity;
};

struct eh_jack_times; /* opaque; main thread, but for the process callback */

/* Times what reaches PORT, an input of ours in JACK. NULL when it cannot be had. */
struct eh_jack_times *eh_jack_times_new(int generation, const char *port);

/* NULL is accepted; also when the server is dead. */
void eh_jack_times_free(struct eh_jack_times *times);

/* Connects as PORT is connected; to be called when eh_jack_changes has changed. */
void eh_jack_times_follow(struct eh_jack_times *times);

/* The next note in order of arrival; false when there is none. */
bool eh_jack_times_next(struct eh_jack_times *times, struct eh_timed_note *out_note);

/* The last wake-up whose notes are all there; CLOCK_MONOTONIC. To be read before
 * eh_jack_times_next when one wants to know that nothing more will come. */
int64_t eh_jack_times_seen_ns(const struct eh_jack_times *times);

#endif
