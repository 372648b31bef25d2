/* The MIDI callback and what it works on. */
#ifndef EVENHAND_MIDI_PROCESS_H
#define EVENHAND_MIDI_PROCESS_H

#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/clock.h"
#include "evenhand/ring.h"

/* No High Resolution Velocity prefix stands before the next note. */
enum { EH_NO_PREFIX = 0xFF };

struct eh_midi_process {
    struct eh_ring *hits;      /* of struct eh_hit; the callback pushes */
    uint8_t prefix[16];        /* by channel; the callback's own */
    _Atomic uint64_t received; /* notes, dropped ones too */
    _Atomic int64_t worst_ns;  /* the longest callback */
};

void eh_midi_process_init(struct eh_midi_process *process, struct eh_ring *hits);

/* RtMidi's callback (an eh_midi_fn); USER is a struct eh_midi_process. RT_SAFE. */
void eh_midi_process(double delta_s, const unsigned char *message, size_t length,
                     void *user) EH_RT_SAFE;

#endif
