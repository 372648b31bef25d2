/* Watching the JACK server.
 *
 * Neither RtMidi nor PortAudio tells when the server dies, and both hang or abort when they are
 * used afterwards. So a small client of our own, evenhand-watch, is there as long as anybody needs
 * it, and libjack tells it. It also knows what the two libraries do not: the period, and which
 * ports are there and connected.
 *
 * One client for the process; functions are for the main thread. A generation names one life of
 * one server as we saw it: when the server has died, all objects that hold that generation are
 * dead for good, even if another server of the same name is there. */
#ifndef EVENHAND_JACK_SERVER_H
#define EVENHAND_JACK_SERVER_H

#include <stdbool.h>
#include <stdint.h>

/* Joins the running server; 0 when none runs (or none lets us in). Leave as often as joined. */
int eh_jack_join(void);
void eh_jack_leave(int generation);

/* False for ever once the server of that generation has died. Cheap. */
bool eh_jack_alive(int generation);

/* True when a newer life of a server has been seen since. */
bool eh_jack_superseded(int generation);

/* A number that changes whenever ports come, go or are connected otherwise. Cheap. */
unsigned eh_jack_changes(int generation);

/* The questions below are answered with 0, false or NULL when the server is dead. */

/* One period; 0 when unknown. */
int64_t eh_jack_period_ns(int generation);

bool eh_jack_port_exists(int generation, const char *port);

/* Whether the ports are connected; either may be the source. */
bool eh_jack_connected(int generation, const char *port, const char *other);

/* MIDI ports whose name begins with PREFIX (no special characters), NULL-terminated, or NULL.
 * eh_jack_names_free accepts NULL. */
enum eh_jack_direction { EH_JACK_READS, EH_JACK_WRITES };
const char **eh_jack_names(int generation, const char *prefix, enum eh_jack_direction direction);
void eh_jack_names_free(const char **names);

#endif
