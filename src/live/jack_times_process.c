/* What the watching client does in each period. Everything here is RT_SAFE. */
#include <jack/midiport.h>

#include "jack_private.h"
#include "jack_times.h"

/* libjack's clock is CLOCK_MONOTONIC_RAW. The distance to ours is read anew in each period, as the
 * two drift apart; a reading that was interrupted is worth nothing. */
static void compare_clocks(struct eh_jack_watch *watch) EH_RT_SAFE {
    const int64_t interrupted_ns = 20000;
    const int64_t before_ns = eh_clock_now_ns();
    const int64_t raw_ns = (int64_t)jack_get_time() * 1000;
    const int64_t after_ns = eh_clock_now_ns();
    if (after_ns - before_ns < interrupted_ns || watch->raw_to_monotonic_ns == 0) {
        watch->raw_to_monotonic_ns = before_ns + (after_ns - before_ns) / 2 - raw_ns;
    }
}

static void take_event(const struct eh_jack_watch *watch, struct eh_jack_timed *timed,
                       const jack_midi_event_t *event, int64_t seen_ns) EH_RT_SAFE {
    if (event->size < 3 || (event->buffer[0] & 0xF0) != 0x90 || (event->buffer[2] & 0x7F) == 0) {
        return;
    }
    const jack_nframes_t frame = jack_last_frame_time(watch->client) + event->time;
    const int64_t raw_ns = (int64_t)jack_frames_to_time(watch->client, frame) * 1000;
    const struct eh_timed_note note = {
        .at_ns = raw_ns + watch->raw_to_monotonic_ns -
                 atomic_load_explicit(&timed->early_ns, memory_order_relaxed),
        .seen_ns = seen_ns,
        .note = event->buffer[1] & 0x7F,
        .channel = event->buffer[0] & 0x0F,
        .velocity = event->buffer[2] & 0x7F,
    };
    (void)eh_ring_push(timed->ring, &note);
}

static void take_port(const struct eh_jack_watch *watch, struct eh_jack_timed *timed,
                      jack_port_t *port, jack_nframes_t frames, int64_t seen_ns) EH_RT_SAFE {
    void *buffer = jack_port_get_buffer(port, frames);
    const uint32_t count = buffer == NULL ? 0 : jack_midi_get_event_count(buffer);
    for (uint32_t i = 0; i < count; i++) {
        jack_midi_event_t event;
        if (jack_midi_event_get(&event, buffer, i) == 0) {
            take_event(watch, timed, &event, seen_ns);
        }
    }
    atomic_store_explicit(&timed->seen_ns, seen_ns, memory_order_release);
}

int eh_jack_process(jack_nframes_t frames, void *argument) EH_RT_SAFE {
    struct eh_jack_watch *watch = argument;
    const int64_t seen_ns = eh_clock_now_ns();
    compare_clocks(watch);
    for (int i = 0; i < EH_JACK_TIMES; i++) {
        jack_port_t *port = atomic_load_explicit(&watch->timed[i].port, memory_order_acquire);
        if (port != NULL) {
            take_port(watch, &watch->timed[i], port, frames, seen_ns);
        }
    }
    atomic_fetch_add_explicit(&watch->cycles, 1, memory_order_release);
    return 0;
}
