/* The watching client, for the files that speak to libjack. */
#ifndef EVENHAND_JACK_PRIVATE_H
#define EVENHAND_JACK_PRIVATE_H

#include <jack/jack.h>
#include <stdatomic.h>
#include <stdint.h>

#include "evenhand/clock.h"
#include "evenhand/ring.h"

enum { EH_JACK_TIMES = 8 };

/* One port whose notes are timed. The port is set last and taken away first. */
struct eh_jack_timed {
    _Atomic(jack_port_t *) port; /* NULL: not in use */
    struct eh_ring *ring;        /* of struct eh_timed_note */
    _Atomic int64_t early_ns;    /* how long before its frame an event really happened */
    _Atomic int64_t seen_ns;     /* the cycle up to which everything is in the ring */
};

struct eh_jack_watch {
    jack_client_t *client; /* NULL: nobody joined */
    int generation;
    int users;
    atomic_bool dead;
    atomic_uint changes;
    atomic_uint cycles;
    int64_t raw_to_monotonic_ns; /* the process thread's */
    struct eh_jack_timed timed[EH_JACK_TIMES];
};

/* The one watch; its client is only good while eh_jack_alive(generation). */
struct eh_jack_watch *eh_jack_watch(void);

/* libjack's callbacks; ARGUMENT is the watch. Process is RT_SAFE. */
int eh_jack_process(jack_nframes_t frames, void *argument) EH_RT_SAFE;

#endif
