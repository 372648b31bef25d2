#include "midi_ports.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "choose.h"
#include "jack_server.h"
#include "quiet.h"

static const char LOOKING_NAME[] = "evenhand-look";

const char *eh_port_system_text(enum eh_port_system system) {
    switch (system) {
    case EH_PORT_ALSA:
        return "ALSA";
    case EH_PORT_JACK:
        return "JACK";
    }
    return "";
}

bool eh_alsa_sequencer_there(void) {
    eh_quiet_alsa();
    return access("/dev/snd/seq", R_OK | W_OK) == 0;
}

/* Loop-backs and our own ports are no pads: they are taken only when they are asked for. */
static bool is_through(const char *name) {
    return eh_contains(name, "Midi Through") ||
           strncmp(name, EH_CLIENT_NAME, sizeof EH_CLIENT_NAME - 1) == 0;
}

static enum eh_status add(struct eh_port_list *list, enum eh_port_system system, const char *name) {
    struct eh_port *grown = realloc(list->ports, (list->count + 1) * sizeof *grown);
    if (grown == NULL) {
        return EH_NO_MEMORY;
    }
    list->ports = grown;
    struct eh_port *port = &grown[list->count++];
    *port =
        (struct eh_port){.number = (int)list->count, .system = system, .through = is_through(name)};
    (void)snprintf(port->name, sizeof port->name, "%s", name);
    return EH_OK;
}

static enum eh_status add_system(struct eh_port_list *list, bool input, enum eh_port_system system,
                                 struct eh_error *error) {
    struct eh_rtmidi *midi = eh_rtmidi_new(input, system, LOOKING_NAME);
    if (midi == NULL) {
        return eh_fail(error, EH_IO_FAILED, "%s does not let us look at its MIDI ports",
                       eh_port_system_text(system));
    }
    enum eh_status status = EH_OK;
    const size_t count = eh_rtmidi_count(midi);
    for (size_t i = 0; i < count && status == EH_OK; i++) {
        char name[EH_PORT_NAME];
        if (eh_rtmidi_name(midi, i, name)) {
            status = add(list, system, name);
        }
    }
    eh_rtmidi_free(midi);
    return status == EH_OK ? EH_OK : eh_fail(error, status, "no memory for the list of MIDI ports");
}

enum eh_status eh_midi_list(struct eh_port_list *out_list, bool input, struct eh_error *error) {
    struct eh_port_list list = {.alsa = eh_alsa_sequencer_there()};
    const int generation = eh_jack_join();
    enum eh_status status = EH_OK;
    list.jack = generation != 0;
    if (list.alsa) {
        status = add_system(&list, input, EH_PORT_ALSA, error);
    }
    if (list.jack && status == EH_OK) {
        status = add_system(&list, input, EH_PORT_JACK, error);
    }
    eh_jack_leave(generation);
    if (status != EH_OK) {
        eh_midi_ports_free(&list);
    }
    *out_list = list;
    return status;
}

enum eh_status eh_midi_ports_list(struct eh_port_list *out_list, struct eh_error *error) {
    return eh_midi_list(out_list, true, error);
}

void eh_midi_ports_free(struct eh_port_list *list) {
    free(list->ports);
    *list = (struct eh_port_list){0};
}

static const char *nothing_there(const struct eh_port_list *list, bool input) {
    if (!list->alsa && !list->jack) {
        return "no MIDI here: there is no ALSA sequencer (/dev/snd/seq) and no JACK server runs; "
               "plug the pad in, load the module snd-seq, or start a JACK server";
    }
    if (!input) {
        return "no MIDI output port is there; use 'virtual' to open one that others connect to";
    }
    return "no MIDI port is there to play on; plug the pad in and switch it on, or use "
           "'--port virtual' to open a port that others connect to";
}

static enum eh_status choose(const struct eh_port **out_port, const struct eh_port_list *list,
                             const char *wanted, bool input, struct eh_error *error) {
    const struct eh_choice_words words = {
        .one = "MIDI port",
        .many = "MIDI ports",
        .option = "--port and a number or part of a name",
        .none = nothing_there(list, input),
    };
    struct eh_choice *choices = calloc(list->count + 1, sizeof *choices);
    if (choices == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "no memory for the list of MIDI ports");
    }
    for (size_t i = 0; i < list->count; i++) {
        const struct eh_port *port = &list->ports[i];
        choices[i] = (struct eh_choice){port->number, port->name, !port->through};
    }
    size_t index = 0;
    const enum eh_status status = eh_choose(&index, choices, list->count, wanted, &words, error);
    free(choices);
    if (status == EH_OK) {
        *out_port = &list->ports[index];
    }
    return status;
}

size_t eh_midi_index(struct eh_rtmidi *midi, const char *name) {
    const size_t count = eh_rtmidi_count(midi);
    for (size_t i = 0; i < count; i++) {
        char found[EH_PORT_NAME];
        if (eh_rtmidi_name(midi, i, found) && strcmp(found, name) == 0) {
            return i;
        }
    }
    return (size_t)-1;
}

static enum eh_status aim_at_own(struct eh_midi_aim *aim, bool input, struct eh_error *error) {
    const int generation = eh_jack_join();
    const struct eh_port_list none = {.alsa = eh_alsa_sequencer_there(), .jack = generation != 0};
    eh_jack_leave(generation);
    if (!none.alsa && !none.jack) {
        return eh_fail(error, EH_UNAVAILABLE, "%s", nothing_there(&none, input));
    }
    /* Who runs a JACK server means to connect things there. */
    aim->system = none.jack ? EH_PORT_JACK : EH_PORT_ALSA;
    return EH_OK;
}

enum eh_status eh_midi_aim(struct eh_midi_aim *out_aim, const char *wanted, bool own, bool input,
                           struct eh_error *error) {
    *out_aim = (struct eh_midi_aim){.own = own};
    if (own) {
        return aim_at_own(out_aim, input, error);
    }
    struct eh_port_list list;
    const struct eh_port *port = NULL;
    enum eh_status status = eh_midi_list(&list, input, error);
    if (status == EH_OK) {
        status = choose(&port, &list, wanted, input, error);
    }
    if (port != NULL) {
        out_aim->system = port->system;
        memcpy(out_aim->name, port->name, sizeof out_aim->name);
    }
    eh_midi_ports_free(&list);
    return status;
}
