#include "jack_times.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "evenhand/time.h"
#include "jack_private.h"
#include "jack_server.h"

enum { NOTES = 8192 };

struct eh_jack_times {
    struct eh_jack_timed *timed;
    struct eh_ring *ring;
    jack_port_t *port; /* ours, on the watching client */
    char *followed;    /* the port that is followed */
    int generation;
};

static struct eh_jack_timed *free_place(void) {
    struct eh_jack_watch *watch = eh_jack_watch();
    for (int i = 0; i < EH_JACK_TIMES; i++) {
        if (atomic_load(&watch->timed[i].port) == NULL) {
            return &watch->timed[i];
        }
    }
    return NULL;
}

static jack_port_t *register_port(ptrdiff_t place) {
    char name[] = "times-1";
    name[6] = (char)('1' + place);
    return jack_port_register(eh_jack_watch()->client, name, JACK_DEFAULT_MIDI_TYPE,
                              JackPortIsInput, 0);
}

static bool begin(struct eh_jack_times *times) {
    times->timed = free_place();
    if (times->timed == NULL ||
        eh_ring_new(&times->ring, sizeof(struct eh_timed_note), NOTES) != EH_OK) {
        return false;
    }
    times->port = register_port(times->timed - eh_jack_watch()->timed);
    if (times->port == NULL) {
        return false;
    }
    times->timed->ring = times->ring;
    atomic_store(&times->timed->early_ns, 0);
    atomic_store(&times->timed->seen_ns, 0);
    atomic_store_explicit(&times->timed->port, times->port, memory_order_release);
    return true;
}

struct eh_jack_times *eh_jack_times_new(int generation, const char *port) {
    struct eh_jack_times *times = calloc(1, sizeof *times);
    if (times == NULL || !eh_jack_alive(generation)) {
        free(times);
        return NULL;
    }
    times->generation = generation;
    times->followed = strdup(port);
    if (times->followed == NULL || !begin(times)) {
        eh_ring_free(times->ring);
        free(times->followed);
        free(times);
        return NULL;
    }
    eh_jack_times_follow(times);
    return times;
}

/* Waits until the process callback cannot be using the place any more. False when that is not
 * certain: the server neither runs nor dies. */
static bool wait_until_unused(int generation) {
    enum { PATIENCE_MS = 1000, DYING_MS = 20 };
    struct eh_jack_watch *watch = eh_jack_watch();
    const unsigned before = atomic_load_explicit(&watch->cycles, memory_order_acquire);
    const struct timespec pause = {.tv_sec = 0, .tv_nsec = EH_NS_PER_MS};
    int dead_ms = 0;
    for (int ms = 0; ms < PATIENCE_MS; ms++) {
        const unsigned now = atomic_load_explicit(&watch->cycles, memory_order_acquire);
        /* A dead server starts no further period; the last one needs microseconds. */
        if (now - before >= 2 || (!eh_jack_alive(generation) && dead_ms++ >= DYING_MS)) {
            return true;
        }
        nanosleep(&pause, NULL);
    }
    return false;
}

void eh_jack_times_free(struct eh_jack_times *times) {
    if (times == NULL) {
        return;
    }
    struct eh_jack_watch *watch = eh_jack_watch();
    bool unused = true;
    if (watch->client != NULL && watch->generation == times->generation) {
        atomic_store_explicit(&times->timed->port, NULL, memory_order_release);
        unused = wait_until_unused(times->generation);
    }
    if (eh_jack_alive(times->generation)) {
        jack_port_unregister(watch->client, times->port);
    }
    if (unused) {
        eh_ring_free(times->ring);
    }
    free(times->followed);
    free(times);
}

static bool among(const char *const *names, const char *name) {
    for (; names != NULL && *names != NULL; names++) {
        if (strcmp(*names, name) == 0) {
            return true;
        }
    }
    return false;
}

/* How long before its frame an event of SOURCE really happened: a device's events are a period
 * old, another program's are not. */
static int64_t early_ns(jack_client_t *client, const char *source) {
    jack_port_t *port = jack_port_by_name(client, source);
    jack_latency_range_t range = {0};
    if (port == NULL) {
        return 0;
    }
    jack_port_get_latency_range(port, JackCaptureLatency, &range);
    return (int64_t)range.min * EH_NS_PER_S / (int64_t)jack_get_sample_rate(client);
}

void eh_jack_times_follow(struct eh_jack_times *times) {
    if (!eh_jack_alive(times->generation)) {
        return;
    }
    jack_client_t *client = eh_jack_watch()->client;
    const jack_port_t *followed = jack_port_by_name(client, times->followed);
    const char **theirs = followed == NULL ? NULL : jack_port_get_all_connections(client, followed);
    const char **ours = jack_port_get_all_connections(client, times->port);
    const char *own = jack_port_name(times->port);
    for (size_t i = 0; theirs != NULL && theirs[i] != NULL; i++) {
        if (i == 0) {
            atomic_store(&times->timed->early_ns, early_ns(client, theirs[i]));
        }
        if (!among(ours, theirs[i])) {
            (void)jack_connect(client, theirs[i], own);
        }
    }
    for (size_t i = 0; ours != NULL && ours[i] != NULL; i++) {
        if (!among(theirs, ours[i])) {
            (void)jack_disconnect(client, ours[i], own);
        }
    }
    eh_jack_names_free(theirs);
    eh_jack_names_free(ours);
}

bool eh_jack_times_next(struct eh_jack_times *times, struct eh_timed_note *out_note) {
    return eh_ring_pop(times->ring, out_note);
}

int64_t eh_jack_times_seen_ns(const struct eh_jack_times *times) {
    return atomic_load_explicit(&times->timed->seen_ns, memory_order_acquire);
}
