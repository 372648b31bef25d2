/* Setting up what the MIDI callback works on. */
#include <string.h>

#include "midi_process.h"

void eh_midi_process_init(struct eh_midi_process *process, struct eh_ring *hits) {
    process->hits = hits;
    memset(process->prefix, EH_NO_PREFIX, sizeof process->prefix);
    atomic_init(&process->received, 0);
    atomic_init(&process->worst_ns, 0);
}
