/* Hits out of a real MIDI port, for the demo player. One thread; nothing is printed. */
#ifndef EVENHAND_MIDI_OUT_H
#define EVENHAND_MIDI_OUT_H

#include "evenhand/hit.h"
#include "evenhand/midi_in.h"
#include "evenhand/status.h"

#define EH_MIDI_OUT_PORT "demo"

struct eh_midi_out; /* opaque */

/* Every port that we could write to; otherwise as eh_midi_ports_list. */
EH_MUST_USE enum eh_status eh_midi_out_ports_list(struct eh_port_list *out_list,
                                                  struct eh_error *error);

/* Opens an output. WANTED: NULL, "" or "virtual" = a port of our own, evenhand:demo, that others
 * connect to; else a number of eh_midi_out_ports_list or (part of) a name as in eh_midi_in_open.
 * Errors: as eh_midi_in_open. */
EH_MUST_USE enum eh_status eh_midi_out_open(struct eh_midi_out **out_out, const char *wanted,
                                            struct eh_error *error);

/* Sends a hit now: the note-off of the hit before, then, where the velocity has bits below the
 * seventh, a High Resolution Velocity prefix, then the note-on. HIT's at_ns is not looked at. On
 * JACK it goes out with the next period. Errors: EH_GONE (the server ended; nothing was sent),
 * EH_IO_FAILED, EH_OUT_OF_RANGE (no such note, channel or velocity). */
EH_MUST_USE enum eh_status eh_midi_out_hit(struct eh_midi_out *out, const struct eh_hit *hit);

/* The port's name in full. */
const char *eh_midi_out_name(const struct eh_midi_out *out);

/* Sends the last note-off, closes and frees; NULL is accepted. Safe when the server is gone. */
void eh_midi_out_close(struct eh_midi_out *out);

#endif
