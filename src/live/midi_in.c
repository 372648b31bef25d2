/* Opening a MIDI input, draining it, closing it. The callback is in midi_process.c. */
#include "evenhand/midi_in.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/clock.h"
#include "evenhand/ring.h"
#include "jack_server.h"
#include "jack_times.h"
#include "midi_ports.h"
#include "midi_process.h"
#include "midi_sharpen.h"
#include "own_port.h"
#include "rtmidi_port.h"

/* Eight seconds of a thousand notes a second, should the main loop stand still for so long. */
enum { HITS = 8192 };

/* How often health looks by itself. */
#define LOOK_NS (250 * EH_NS_PER_MS)

/* A USB pad is asked once in a frame of 1 ms (USB 2.0, 5.3.3); the three bytes of a note take
 * 0.96 ms on a MIDI cable (MIDI 1.0: 31250 baud, 10 bits a byte). */
#define ALSA_RESOLUTION_NS EH_NS_PER_MS

/* What libjack's frame times are worth in practice; see docs/live.md. */
#define EXACT_RESOLUTION_NS (EH_NS_PER_MS / 2)

struct eh_midi_in {
    struct eh_midi_process process;
    struct eh_ring *hits;
    struct eh_rtmidi *midi;
    struct eh_midi_aim aim;
    char name[EH_PORT_NAME]; /* the port's, in full */
    enum eh_midi_health health;
    int64_t looked_ns;
    struct eh_rtmidi *look; /* ALSA: a second client, which only looks */
    int generation;         /* JACK: the server's */
    unsigned changes;
    char own[EH_PORT_NAME]; /* our port in JACK */
    struct eh_jack_times *times;
    struct eh_sharpen sharpen;
    struct eh_hit waiting; /* the oldest hit, whose exact time may still come */
    bool has_waiting;
    struct eh_midi_in *next_abandoned;
};

static enum eh_status refused(const struct eh_midi_in *in, struct eh_error *error) {
    return eh_fail(
        error, EH_IO_FAILED,
        "%s refused to open the MIDI port '%.200s'; look whether another program holds it",
        eh_port_system_text(in->aim.system),
        in->aim.own ? EH_CLIENT_NAME ":" EH_MIDI_IN_PORT : in->aim.name);
}

static bool connect_port(struct eh_midi_in *in) {
    in->midi = eh_rtmidi_new(true, in->aim.system, EH_CLIENT_NAME);
    if (in->midi == NULL || !eh_rtmidi_listen(in->midi, eh_midi_process, &in->process)) {
        return false;
    }
    if (in->aim.own) {
        return eh_rtmidi_open_virtual(in->midi, EH_MIDI_IN_PORT);
    }
    return eh_rtmidi_open(in->midi, eh_midi_index(in->midi, in->aim.name), EH_MIDI_IN_PORT);
}

static bool open_alsa(struct eh_midi_in *in) {
    if (!connect_port(in)) {
        return false;
    }
    in->look = eh_rtmidi_new(true, EH_PORT_ALSA, "evenhand-look");
    return in->look != NULL;
}

/* Exact times need to know our own port; without them, hits are stamped to the period, and
 * resolution says so. */
static void begin_times(struct eh_midi_in *in) {
    in->changes = eh_jack_changes(in->generation);
    in->times = in->own[0] == '\0' ? NULL : eh_jack_times_new(in->generation, in->own);
    eh_sharpen_init(&in->sharpen, eh_jack_period_ns(in->generation));
}

static bool open_jack(struct eh_midi_in *in) {
    struct eh_own_port own;
    eh_own_port_before(&own, in->generation, EH_JACK_READS);
    const bool opened = connect_port(in);
    if (!eh_own_port_after(&own, in->aim.name, in->own)) {
        in->own[0] = '\0';
    }
    if (opened) {
        begin_times(in);
    }
    return opened;
}

static void name_port(struct eh_midi_in *in) {
    const char *own = in->own[0] != '\0' ? in->own : EH_CLIENT_NAME ":" EH_MIDI_IN_PORT;
    (void)snprintf(in->name, sizeof in->name, "%s", in->aim.own ? own : in->aim.name);
}

static enum eh_status open_aim(struct eh_midi_in *in, const char *wanted, struct eh_error *error) {
    const bool own = wanted != NULL && strcmp(wanted, "virtual") == 0;
    const enum eh_status status = eh_midi_aim(&in->aim, wanted, own, true, error);
    if (status != EH_OK) {
        return status;
    }
    const bool opened = in->aim.system == EH_PORT_JACK ? open_jack(in) : open_alsa(in);
    if (!opened) {
        return refused(in, error);
    }
    name_port(in);
    return EH_OK;
}

enum eh_status eh_midi_in_open(struct eh_midi_in **out_in, const char *wanted,
                               struct eh_error *error) {
    *out_in = NULL;
    struct eh_midi_in *in = calloc(1, sizeof *in);
    if (in == NULL || eh_ring_new(&in->hits, sizeof(struct eh_hit), HITS) != EH_OK) {
        free(in);
        return eh_fail(error, EH_NO_MEMORY, "no memory for the MIDI input");
    }
    eh_midi_process_init(&in->process, in->hits);
    in->generation = eh_jack_join(); /* held while open, so that a dying server is noticed */
    const enum eh_status status = open_aim(in, wanted, error);
    if (status != EH_OK) {
        eh_midi_in_close(in);
        return status;
    }
    if (in->aim.system == EH_PORT_ALSA) {
        eh_jack_leave(in->generation);
        in->generation = 0;
    }
    *out_in = in;
    return EH_OK;
}

/* Inputs whose JACK server died and was followed by a new one: libjack has swept their clients
 * away, so that they must not be touched again. Kept in a row so that they count as used. */
static struct eh_midi_in *abandoned;

static bool must_be_abandoned(const struct eh_midi_in *in) {
    return in->midi != NULL && in->aim.system == EH_PORT_JACK && !eh_jack_alive(in->generation) &&
           eh_jack_superseded(in->generation);
}

void eh_midi_in_close(struct eh_midi_in *in) {
    if (in == NULL) {
        return;
    }
    eh_jack_times_free(in->times);
    if (must_be_abandoned(in)) {
        in->next_abandoned = abandoned;
        abandoned = in;
        return;
    }
    eh_rtmidi_free(in->midi);
    eh_rtmidi_free(in->look);
    eh_jack_leave(in->generation);
    eh_ring_free(in->hits);
    free(in);
}

/* Takes over the times that have come; how far they are complete. */
static int64_t take_times(struct eh_midi_in *in) {
    struct eh_timed_note note;
    const int64_t seen_ns = eh_jack_times_seen_ns(in->times);
    while (in->sharpen.count < EH_SHARPEN_ROOM) {
        if (!eh_jack_times_next(in->times, &note)) {
            return seen_ns;
        }
        (void)eh_sharpen_note(&in->sharpen, &note);
    }
    return INT64_MIN;
}

static bool next_hit(struct eh_midi_in *in) {
    in->has_waiting = in->has_waiting || eh_ring_pop(in->hits, &in->waiting);
    return in->has_waiting;
}

static bool settle_hit(struct eh_midi_in *in) {
    return in->times == NULL || eh_sharpen_hit(&in->sharpen, &in->waiting, take_times(in),
                                               eh_clock_now_ns()) == EH_SHARPENED;
}

static void follow_changes(struct eh_midi_in *in) {
    const unsigned changes = eh_jack_changes(in->generation);
    if (in->times != NULL && changes != in->changes) {
        in->changes = changes;
        in->looked_ns = 0;
        eh_jack_times_follow(in->times);
    }
}

size_t eh_midi_in_poll(struct eh_midi_in *in, struct eh_hit *out_hits, size_t room) {
    size_t count = 0;
    follow_changes(in);
    while (count < room && next_hit(in) && settle_hit(in)) {
        out_hits[count++] = in->waiting;
        in->has_waiting = false;
    }
    return count;
}

static enum eh_midi_health look_at_alsa(struct eh_midi_in *in) {
    return eh_midi_index(in->look, in->aim.name) == (size_t)-1 ? EH_MIDI_PORT_GONE : EH_MIDI_WELL;
}

/* A port that is there but no longer connected to us (its program started anew, or somebody pulled
 * the connection) is silent just the same. */
static enum eh_midi_health look_at_jack(struct eh_midi_in *in) {
    const bool there = in->own[0] == '\0'
                           ? eh_jack_port_exists(in->generation, in->aim.name)
                           : eh_jack_connected(in->generation, in->own, in->aim.name);
    return there ? EH_MIDI_WELL : EH_MIDI_PORT_GONE;
}

static enum eh_midi_health look(struct eh_midi_in *in) {
    if (in->aim.own) {
        return EH_MIDI_WELL;
    }
    return in->aim.system == EH_PORT_JACK ? look_at_jack(in) : look_at_alsa(in);
}

enum eh_midi_health eh_midi_in_health(struct eh_midi_in *in) {
    if (in->aim.system == EH_PORT_JACK && !eh_jack_alive(in->generation)) {
        in->health = EH_MIDI_SERVER_GONE;
    }
    const int64_t now_ns = eh_clock_now_ns();
    follow_changes(in);
    if (in->health == EH_MIDI_WELL && (in->looked_ns == 0 || now_ns - in->looked_ns >= LOOK_NS)) {
        in->looked_ns = now_ns;
        in->health = look(in);
        if (in->aim.system == EH_PORT_JACK && !eh_jack_alive(in->generation)) {
            in->health = EH_MIDI_SERVER_GONE; /* it died while we looked */
        }
    }
    return in->health;
}

const char *eh_midi_in_name(const struct eh_midi_in *in) {
    return in->name;
}

enum eh_port_system eh_midi_in_system(const struct eh_midi_in *in) {
    return in->aim.system;
}

uint64_t eh_midi_in_received(const struct eh_midi_in *in) {
    return atomic_load_explicit(&in->process.received, memory_order_relaxed);
}

uint32_t eh_midi_in_dropped(const struct eh_midi_in *in) {
    return eh_ring_dropped(in->hits);
}

/* Exact times count as exact while they reach 99 of 100 hits: a rare miss (a note that came while a
 * connection was being made) is scatter, not the grain of the whole. */
int64_t eh_midi_in_resolution_ns(const struct eh_midi_in *in) {
    if (in->aim.system == EH_PORT_ALSA) {
        return ALSA_RESOLUTION_NS;
    }
    const uint64_t all = in->sharpen.exact + in->sharpen.coarse;
    const int64_t period_ns = in->sharpen.window_ns - EH_SHARPEN_SLACK_NS;
    const bool exact = in->times != NULL && in->sharpen.coarse * 100 <= all;
    return exact && period_ns > EXACT_RESOLUTION_NS ? EXACT_RESOLUTION_NS : period_ns;
}

int64_t eh_midi_in_worst_callback_ns(const struct eh_midi_in *in) {
    return atomic_load_explicit(&in->process.worst_ns, memory_order_relaxed);
}
