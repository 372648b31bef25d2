/* Looking at the MIDI ports, for reading and for writing. */
#ifndef EVENHAND_MIDI_PORTS_H
#define EVENHAND_MIDI_PORTS_H

#include <stdbool.h>

#include "evenhand/midi_in.h"
#include "rtmidi_port.h"

/* Whether the machine has an ALSA sequencer. Silences ALSA's library on the way. */
bool eh_alsa_sequencer_there(void);

enum eh_status eh_midi_list(struct eh_port_list *out_list, bool input, struct eh_error *error);

/* Finds a port by its exact name; (size_t)-1 when it is not there. */
size_t eh_midi_index(struct eh_rtmidi *midi, const char *name);

/* What to open: a port of somebody's, or one of our own ("virtual"). */
struct eh_midi_aim {
    bool own;
    enum eh_port_system system;
    char name[EH_PORT_NAME]; /* the other's port; "" for our own */
};

/* Finds what WANTED means among the ports that are there now. OWN says that a port of ours is
 * meant. Errors: those of eh_midi_in_open. */
enum eh_status eh_midi_aim(struct eh_midi_aim *out_aim, const char *wanted, bool own, bool input,
                           struct eh_error *error);

#endif
