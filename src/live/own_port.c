#include "own_port.h"

#include <stdio.h>
#include <string.h>

void eh_own_port_before(struct eh_own_port *own, int generation, enum eh_jack_direction direction) {
    own->generation = generation;
    own->direction = direction;
    own->before = eh_jack_names(generation, EH_CLIENT_NAME, direction);
}

static bool among(const char *const *names, const char *name) {
    for (; names != NULL && *names != NULL; names++) {
        if (strcmp(*names, name) == 0) {
            return true;
        }
    }
    return false;
}

static bool fits(const struct eh_own_port *own, const char *connected, const char *name) {
    return !among(own->before, name) &&
           (*connected == '\0' || eh_jack_connected(own->generation, name, connected));
}

bool eh_own_port_after(struct eh_own_port *own, const char *connected,
                       char out_name[EH_PORT_NAME]) {
    const char **now = eh_jack_names(own->generation, EH_CLIENT_NAME, own->direction);
    int found = 0;
    for (size_t i = 0; now != NULL && now[i] != NULL; i++) {
        if (fits(own, connected, now[i]) && found++ == 0) {
            (void)snprintf(out_name, EH_PORT_NAME, "%s", now[i]);
        }
    }
    eh_jack_names_free(now);
    eh_jack_names_free(own->before);
    own->before = NULL;
    return found == 1;
}
