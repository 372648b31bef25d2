#include "evenhand/midi_out.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "jack_server.h"
#include "midi_ports.h"
#include "own_port.h"
#include "rtmidi_port.h"

enum { NOTE_OFF = 0x80, NOTE_ON = 0x90, CONTROL_CHANGE = 0xB0, VELOCITY_PREFIX = 88, RELEASE = 64 };

struct eh_midi_out {
    struct eh_rtmidi *midi;
    struct eh_midi_aim aim;
    int generation; /* JACK: the server's */
    char name[EH_PORT_NAME];
    struct eh_hit sounding; /* velocity 0: none */
    struct eh_midi_out *next_abandoned;
};

enum eh_status eh_midi_out_ports_list(struct eh_port_list *out_list, struct eh_error *error) {
    return eh_midi_list(out_list, false, error);
}

static bool connect_port(struct eh_midi_out *out) {
    out->midi = eh_rtmidi_new(false, out->aim.system, EH_CLIENT_NAME);
    if (out->midi == NULL) {
        return false;
    }
    if (out->aim.own) {
        return eh_rtmidi_open_virtual(out->midi, EH_MIDI_OUT_PORT);
    }
    return eh_rtmidi_open(out->midi, eh_midi_index(out->midi, out->aim.name), EH_MIDI_OUT_PORT);
}

static enum eh_status open_aim(struct eh_midi_out *out, const char *wanted,
                               struct eh_error *error) {
    const bool own = wanted == NULL || *wanted == '\0' || strcmp(wanted, "virtual") == 0;
    const enum eh_status status = eh_midi_aim(&out->aim, wanted, own, false, error);
    if (status != EH_OK) {
        return status;
    }
    struct eh_own_port port;
    char own_name[EH_PORT_NAME] = EH_CLIENT_NAME ":" EH_MIDI_OUT_PORT;
    eh_own_port_before(&port, out->generation, EH_JACK_WRITES);
    const bool connected = connect_port(out);
    (void)eh_own_port_after(&port, out->aim.name, own_name);
    if (!connected) {
        return eh_fail(error, EH_IO_FAILED, "%s refused to open the MIDI output '%.200s'",
                       eh_port_system_text(out->aim.system), own ? own_name : out->aim.name);
    }
    (void)snprintf(out->name, sizeof out->name, "%s", own ? own_name : out->aim.name);
    return EH_OK;
}

enum eh_status eh_midi_out_open(struct eh_midi_out **out_out, const char *wanted,
                                struct eh_error *error) {
    *out_out = NULL;
    struct eh_midi_out *out = calloc(1, sizeof *out);
    if (out == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "no memory for the MIDI output");
    }
    out->generation = eh_jack_join(); /* held while open, so that a dying server is noticed */
    const enum eh_status status = open_aim(out, wanted, error);
    if (status != EH_OK) {
        eh_midi_out_close(out);
        return status;
    }
    if (out->aim.system == EH_PORT_ALSA) {
        eh_jack_leave(out->generation);
        out->generation = 0;
    }
    *out_out = out;
    return EH_OK;
}

static bool gone(const struct eh_midi_out *out) {
    return out->aim.system == EH_PORT_JACK && !eh_jack_alive(out->generation);
}

static bool send_note_off(struct eh_midi_out *out) {
    if (out->sounding.velocity == 0) {
        return true;
    }
    const unsigned char off[] = {(unsigned char)(NOTE_OFF | out->sounding.channel),
                                 out->sounding.note, RELEASE};
    out->sounding.velocity = 0;
    return eh_rtmidi_send(out->midi, off, sizeof off);
}

static bool send_prefix(struct eh_midi_out *out, const struct eh_hit *hit) {
    const unsigned low = (hit->velocity % EH_VELOCITY_UNIT) / 4;
    const unsigned char prefix[] = {(unsigned char)(CONTROL_CHANGE | hit->channel), VELOCITY_PREFIX,
                                    (unsigned char)low};
    return low == 0 || eh_rtmidi_send(out->midi, prefix, sizeof prefix);
}

static bool send_note_on(struct eh_midi_out *out, const struct eh_hit *hit) {
    const unsigned char on[] = {(unsigned char)(NOTE_ON | hit->channel), hit->note,
                                (unsigned char)(hit->velocity / EH_VELOCITY_UNIT)};
    if (!eh_rtmidi_send(out->midi, on, sizeof on)) {
        return false;
    }
    out->sounding = *hit;
    return true;
}

enum eh_status eh_midi_out_hit(struct eh_midi_out *out, const struct eh_hit *hit) {
    if (hit->note > 127 || hit->channel > 15 || hit->velocity < EH_VELOCITY_UNIT) {
        return EH_OUT_OF_RANGE;
    }
    if (gone(out)) {
        return EH_GONE;
    }
    const bool sent = send_note_off(out) && send_prefix(out, hit) && send_note_on(out, hit);
    return sent ? EH_OK : EH_IO_FAILED;
}

const char *eh_midi_out_name(const struct eh_midi_out *out) {
    return out->name;
}

/* Outputs whose server died: RtMidi would wait a second for messages to leave, and must not touch
 * them at all once a new server is there. Kept in a row so that they count as used. */
static struct eh_midi_out *abandoned;

void eh_midi_out_close(struct eh_midi_out *out) {
    if (out == NULL) {
        return;
    }
    const int generation = out->generation;
    if (out->midi != NULL && gone(out)) {
        out->next_abandoned = abandoned;
        abandoned = out;
    } else {
        (void)(out->midi != NULL && send_note_off(out));
        eh_rtmidi_free(out->midi);
        free(out);
    }
    eh_jack_leave(generation);
}
