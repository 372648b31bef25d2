/* Finding out what JACK called a port of ours: RtMidi cannot tell, and JACK changes a client's name
 * when it is taken. The new port is the one that was not there before. */
#ifndef EVENHAND_OWN_PORT_H
#define EVENHAND_OWN_PORT_H

#include <stdbool.h>

#include "evenhand/midi_in.h"
#include "jack_server.h"

struct eh_own_port {
    int generation;
    enum eh_jack_direction direction;
    const char **before; /* owned by libjack */
};

/* Before the port is made. */
void eh_own_port_before(struct eh_own_port *own, int generation, enum eh_jack_direction direction);

/* After it was made; frees what was kept. CONNECTED, unless it is "", is a port that ours is
 * connected to. False when no port fits or, as another evenhand was started in the same instant,
 * more than one. */
bool eh_own_port_after(struct eh_own_port *own, const char *connected, char out_name[EH_PORT_NAME]);

#endif
