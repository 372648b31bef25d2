#include "jack_server.h"

#include <stdio.h>
#include <string.h>

#include "evenhand/time.h"
#include "jack_private.h"
#include "quiet.h"

/* PortAudio and RtMidi know only one server a process too. */
static struct eh_jack_watch watch;

struct eh_jack_watch *eh_jack_watch(void) {
    return &watch;
}

static void say_nothing(const char *message) {
    (void)message;
}

void eh_quiet_jack(void) {
    jack_set_error_function(say_nothing);
    jack_set_info_function(say_nothing);
}

static void on_shutdown(void *argument) {
    struct eh_jack_watch *self = argument;
    atomic_store(&self->dead, true);
}

static void on_registration(jack_port_id_t port, int registered, void *argument) {
    struct eh_jack_watch *self = argument;
    (void)port;
    (void)registered;
    atomic_fetch_add(&self->changes, 1);
}

static void on_connection(jack_port_id_t a, jack_port_id_t b, int connected, void *argument) {
    struct eh_jack_watch *self = argument;
    (void)a;
    (void)b;
    (void)connected;
    atomic_fetch_add(&self->changes, 1);
}

static bool set_callbacks(jack_client_t *client) {
    jack_on_shutdown(client, on_shutdown, &watch);
    return jack_set_process_callback(client, eh_jack_process, &watch) == 0 &&
           jack_set_port_registration_callback(client, on_registration, &watch) == 0 &&
           jack_set_port_connect_callback(client, on_connection, &watch) == 0;
}

static bool open_client(void) {
    eh_quiet_jack();
    watch.client = jack_client_open("evenhand-watch", JackNoStartServer, NULL);
    if (watch.client == NULL) {
        return false;
    }
    atomic_store(&watch.dead, false);
    watch.raw_to_monotonic_ns = 0;
    if (!set_callbacks(watch.client) || jack_activate(watch.client) != 0) {
        jack_client_close(watch.client);
        watch.client = NULL;
        return false;
    }
    watch.generation++;
    watch.users = 0;
    return true;
}

static void close_client(void) {
    jack_client_close(watch.client);
    watch.client = NULL;
    for (int i = 0; i < EH_JACK_TIMES; i++) {
        atomic_store(&watch.timed[i].port, NULL);
    }
}

int eh_jack_join(void) {
    if (watch.client != NULL && atomic_load(&watch.dead)) {
        close_client();
    }
    if (watch.client == NULL && !open_client()) {
        return 0;
    }
    watch.users++;
    return watch.generation;
}

void eh_jack_leave(int generation) {
    if (watch.client != NULL && generation == watch.generation && --watch.users == 0) {
        close_client();
    }
}

bool eh_jack_alive(int generation) {
    return generation != 0 && generation == watch.generation && watch.client != NULL &&
           !atomic_load(&watch.dead);
}

bool eh_jack_superseded(int generation) {
    return generation < watch.generation;
}

unsigned eh_jack_changes(int generation) {
    (void)generation;
    return atomic_load(&watch.changes);
}

int64_t eh_jack_period_ns(int generation) {
    if (!eh_jack_alive(generation)) {
        return 0;
    }
    const int64_t frames = jack_get_buffer_size(watch.client);
    const int64_t rate = jack_get_sample_rate(watch.client);
    return rate > 0 ? frames * EH_NS_PER_S / rate : 0;
}

bool eh_jack_port_exists(int generation, const char *port) {
    return eh_jack_alive(generation) && jack_port_by_name(watch.client, port) != NULL;
}

bool eh_jack_connected(int generation, const char *port, const char *other) {
    const jack_port_t *handle =
        eh_jack_alive(generation) ? jack_port_by_name(watch.client, port) : NULL;
    if (handle == NULL) {
        return false;
    }
    const char **names = jack_port_get_all_connections(watch.client, handle);
    bool found = false;
    for (size_t i = 0; names != NULL && names[i] != NULL; i++) {
        found = found || strcmp(names[i], other) == 0;
    }
    eh_jack_names_free(names);
    return found;
}

const char **eh_jack_names(int generation, const char *prefix, enum eh_jack_direction direction) {
    char pattern[64];
    (void)snprintf(pattern, sizeof pattern, "^%s", prefix);
    if (!eh_jack_alive(generation)) {
        return NULL;
    }
    return jack_get_ports(watch.client, pattern, JACK_DEFAULT_MIDI_TYPE,
                          direction == EH_JACK_READS ? JackPortIsInput : JackPortIsOutput);
}

void eh_jack_names_free(const char **names) {
    if (names != NULL) {
        jack_free((void *)names);
    }
}
