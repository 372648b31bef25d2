/* What happens on the MIDI driver's thread. Everything here is RT_SAFE.
 *
 * RtMidi's delta is not used: on JACK it is taken from the same wake-up as our own stamp, and it
 * loses the time of every message that is filtered out (active sensing, clock). */
#include "midi_process.h"

#include "evenhand/hit.h"

enum {
    NOTE_OFF = 0x80,
    NOTE_ON = 0x90,
    CONTROL_CHANGE = 0xB0,
    VELOCITY_PREFIX = 88 /* MIDI CA-031 */
};

static void take_note(struct eh_midi_process *process, int64_t now_ns, unsigned channel,
                      const unsigned char *message) EH_RT_SAFE {
    const unsigned low = process->prefix[channel] == EH_NO_PREFIX ? 0 : process->prefix[channel];
    process->prefix[channel] = EH_NO_PREFIX;
    const unsigned velocity = message[2] & 0x7Fu;
    if ((message[0] & 0xF0) != NOTE_ON || velocity == 0) {
        return; /* a note-off: it only uses up its prefix */
    }
    const struct eh_hit hit = {
        .at_ns = now_ns,
        .velocity = (uint16_t)(velocity * EH_VELOCITY_UNIT + low * 4),
        .note = message[1] & 0x7F,
        .channel = (uint8_t)channel,
    };
    atomic_fetch_add_explicit(&process->received, 1, memory_order_relaxed);
    (void)eh_ring_push(process->hits, &hit); /* the ring counts what it cannot take */
}

static void take_message(struct eh_midi_process *process, int64_t now_ns,
                         const unsigned char *message) EH_RT_SAFE {
    const unsigned channel = message[0] & 0x0F;
    switch (message[0] & 0xF0) {
    case NOTE_OFF:
    case NOTE_ON:
        take_note(process, now_ns, channel, message);
        break;
    case CONTROL_CHANGE:
        if (message[1] == VELOCITY_PREFIX) {
            process->prefix[channel] = message[2] & 0x7F;
        }
        break;
    default:
        break;
    }
}

void eh_midi_process(double delta_s, const unsigned char *message, size_t length,
                     void *user) EH_RT_SAFE {
    struct eh_midi_process *process = user;
    const int64_t now_ns = eh_clock_now_ns();
    (void)delta_s;
    if (length >= 3 && message[0] < 0xF0) {
        take_message(process, now_ns, message);
    }
    const int64_t took_ns = eh_clock_now_ns() - now_ns;
    if (took_ns > atomic_load_explicit(&process->worst_ns, memory_order_relaxed)) {
        atomic_store_explicit(&process->worst_ns, took_ns, memory_order_relaxed);
    }
}
