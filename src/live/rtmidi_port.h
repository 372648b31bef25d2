/* RtMidi's C interface, tamed.
 *
 * Its objects report a failure only through a flag that is never set back, their message is a
 * dangling pointer, and the order in which they are taken apart matters. Here each call says
 * whether it worked. */
#ifndef EVENHAND_RTMIDI_PORT_H
#define EVENHAND_RTMIDI_PORT_H

#include <stdbool.h>
#include <stddef.h>

#include "evenhand/midi_in.h"

/* What arrives: RtMidi's own delta (in s), one whole message, and the pointer given. */
typedef void eh_midi_fn(double delta_s, const unsigned char *message, size_t length, void *user);

struct eh_rtmidi; /* opaque */

/* A client named NAME (which must outlive it) that reads (INPUT) or writes. NULL when RtMidi cannot
 * make one. Ask for JACK only while a server runs, for ALSA only where there is a sequencer: RtMidi
 * complains on standard error otherwise. */
struct eh_rtmidi *eh_rtmidi_new(bool input, enum eh_port_system system, const char *name);

/* Closes the port, takes the callback away, frees; NULL is accepted. */
void eh_rtmidi_free(struct eh_rtmidi *midi);

size_t eh_rtmidi_count(struct eh_rtmidi *midi);

/* False when there is no such port (any more). */
bool eh_rtmidi_name(struct eh_rtmidi *midi, size_t index, char out_name[EH_PORT_NAME]);

/* Before opening; input only. */
bool eh_rtmidi_listen(struct eh_rtmidi *midi, eh_midi_fn *callback, void *user);

/* Makes a port of ours called OWN and connects it to port INDEX. */
bool eh_rtmidi_open(struct eh_rtmidi *midi, size_t index, const char *own);
bool eh_rtmidi_open_virtual(struct eh_rtmidi *midi, const char *own);

/* Output only. On JACK: never once the server is dead, it would wait for ever. */
bool eh_rtmidi_send(struct eh_rtmidi *midi, const unsigned char *message, size_t length);

#endif
