/* Hits from a pad: MIDI input through RtMidi, over ALSA's sequencer and over JACK.
 *
 * A callback stamps each note with CLOCK_MONOTONIC and puts it into a ring; the caller drains the
 * ring whenever it likes. All functions are for one thread (the one that opened the port); the
 * callback runs on a thread of the driver's. Nothing is printed. */
#ifndef EVENHAND_MIDI_IN_H
#define EVENHAND_MIDI_IN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/status.h"

/* The names under which other programs see us, in ALSA and in JACK. (JACK adds "-01" to a client's
 * name when it is taken; the first one opened has the plain name.) */
#define EH_CLIENT_NAME "evenhand"
#define EH_MIDI_IN_PORT "pad"

enum { EH_PORT_NAME = 256 };

enum eh_port_system { EH_PORT_ALSA, EH_PORT_JACK };

/* "ALSA", "JACK". */
const char *eh_port_system_text(enum eh_port_system system);

struct eh_port {
    int number;              /* from 1; counts through all systems; may change when devices do */
    char name[EH_PORT_NAME]; /* as the system gives it: "Pad:Pad MIDI 1 20:0", "player:out" */
    enum eh_port_system system;
    bool through; /* a loop-back of the system's ("Midi Through") or a port of evenhand's own: never
                     taken unasked */
};

struct eh_port_list {
    struct eh_port *ports; /* owned; NULL while empty */
    size_t count;
    bool alsa; /* the machine has an ALSA sequencer */
    bool jack; /* a JACK server runs */
};

/* Every port that we could read from. An empty list is EH_OK. Errors: EH_NO_MEMORY, EH_IO_FAILED.
 */
EH_MUST_USE enum eh_status eh_midi_ports_list(struct eh_port_list *out_list,
                                              struct eh_error *error);

/* Frees what the list owns and empties it; an all-zero list is accepted. */
void eh_midi_ports_free(struct eh_port_list *list);

struct eh_midi_in; /* opaque */

/* Opens a port and begins to listen. WANTED:
 *   NULL or ""   the only port there is ("Midi Through" does not count);
 *   "3"          the port with that number;
 *   "virtual"    a port of our own, evenhand:pad, that others connect to (in JACK while a server
 *                runs, else in ALSA);
 *   other text   the port of that name (an ALSA name with or without its " 20:0"), or else the only
 *                one whose name contains the text; case does not matter.
 * Errors: EH_UNAVAILABLE (no MIDI system, no port at all: says what to do), EH_NOT_FOUND (no such
 * port, or more than one fits: lists them or names the nearest), EH_IO_FAILED (the system refused),
 * EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_midi_in_open(struct eh_midi_in **out_in, const char *wanted,
                                           struct eh_error *error);

/* Stops listening and frees; NULL is accepted. Safe, and done within a second, also when the port
 * or the server is gone. */
void eh_midi_in_close(struct eh_midi_in *in);

/* Drains up to ROOM hits in order of arrival; returns how many. at_ns is CLOCK_MONOTONIC. Hits are
 * note-ons with a velocity above 0, of any note and channel; a High Resolution Velocity prefix
 * (MIDI CA-031, controller 88) is honoured for each channel. */
size_t eh_midi_in_poll(struct eh_midi_in *in, struct eh_hit *out_hits, size_t room);

enum eh_midi_health {
    EH_MIDI_WELL,
    EH_MIDI_PORT_GONE,  /* the port we listened to is no longer there or no longer connected */
    EH_MIDI_SERVER_GONE /* the JACK server ended: nothing more will come from this object */
};

/* Cheap: may be called every few milliseconds (it looks at most four times a second, a look takes
 * well under a millisecond on JACK). What has gone is noticed within half a second. Once gone it
 * stays gone: close and open again. A virtual port has no port that could go. */
enum eh_midi_health eh_midi_in_health(struct eh_midi_in *in);

/* The port's name in full, e.g. "player:out", or "evenhand:pad" for a virtual one. */
const char *eh_midi_in_name(const struct eh_midi_in *in);
enum eh_port_system eh_midi_in_system(const struct eh_midi_in *in);

/* Notes that arrived, and how many of them were lost because nobody drained the ring. When dropped
 * is not 0 the take is not reliable. */
uint64_t eh_midi_in_received(const struct eh_midi_in *in);
uint32_t eh_midi_in_dropped(const struct eh_midi_in *in);

/* What one step of a stamp is worth: two strokes cannot be told apart more finely. See
 * docs/live.md for where the figures come from. */
int64_t eh_midi_in_resolution_ns(const struct eh_midi_in *in);

/* The longest that one callback took so far. */
int64_t eh_midi_in_worst_callback_ns(const struct eh_midi_in *in);

#endif
