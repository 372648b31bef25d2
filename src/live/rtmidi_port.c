#include "rtmidi_port.h"

#include <rtmidi_c.h>
#include <stdlib.h>

/* RtMidi's own queue is not used: messages go to the callback. */
enum { QUEUE_UNUSED = 1 };

struct eh_rtmidi {
    RtMidiPtr device;
    bool input;
    bool listening;
};

/* To be set before each call: RtMidi only ever clears it. */
static RtMidiPtr ready(struct eh_rtmidi *midi) {
    midi->device->ok = true;
    return midi->device;
}

struct eh_rtmidi *eh_rtmidi_new(bool input, enum eh_port_system system, const char *name) {
    const enum RtMidiApi api =
        system == EH_PORT_ALSA ? RTMIDI_API_LINUX_ALSA : RTMIDI_API_UNIX_JACK;
    struct eh_rtmidi *midi = calloc(1, sizeof *midi);
    if (midi == NULL) {
        return NULL;
    }
    midi->input = input;
    midi->device = input ? rtmidi_in_create(api, name, QUEUE_UNUSED) : rtmidi_out_create(api, name);
    if (midi->device != NULL && midi->device->ok && midi->device->ptr != NULL) {
        return midi;
    }
    eh_rtmidi_free(midi);
    return NULL;
}

/* Freeing deletes the callback's record before the port is closed: a message that arrives in
 * between would be handed to nobody. Hence this order. */
void eh_rtmidi_free(struct eh_rtmidi *midi) {
    if (midi == NULL) {
        return;
    }
    if (midi->device != NULL && midi->device->ptr != NULL) {
        rtmidi_close_port(ready(midi));
        if (midi->listening) {
            rtmidi_in_cancel_callback(ready(midi));
        }
    }
    if (midi->device != NULL && midi->input) {
        rtmidi_in_free(midi->device);
    } else if (midi->device != NULL) {
        rtmidi_out_free(midi->device);
    }
    free(midi);
}

size_t eh_rtmidi_count(struct eh_rtmidi *midi) {
    const unsigned count = rtmidi_get_port_count(ready(midi));
    return midi->device->ok ? count : 0;
}

bool eh_rtmidi_name(struct eh_rtmidi *midi, size_t index, char out_name[EH_PORT_NAME]) {
    int length = EH_PORT_NAME;
    out_name[0] = '\0';
    (void)rtmidi_get_port_name(ready(midi), (unsigned)index, out_name, &length);
    out_name[EH_PORT_NAME - 1] = '\0';
    return midi->device->ok && out_name[0] != '\0';
}

bool eh_rtmidi_listen(struct eh_rtmidi *midi, eh_midi_fn *callback, void *user) {
    rtmidi_in_set_callback(ready(midi), callback, user);
    midi->listening = midi->device->ok;
    return midi->listening;
}

bool eh_rtmidi_open(struct eh_rtmidi *midi, size_t index, const char *own) {
    if (index >= eh_rtmidi_count(midi)) {
        return false; /* RtMidi would only warn, and be connected to nothing */
    }
    rtmidi_open_port(ready(midi), (unsigned)index, own);
    return midi->device->ok;
}

bool eh_rtmidi_open_virtual(struct eh_rtmidi *midi, const char *own) {
    rtmidi_open_virtual_port(ready(midi), own);
    return midi->device->ok;
}

bool eh_rtmidi_send(struct eh_rtmidi *midi, const unsigned char *message, size_t length) {
    return rtmidi_out_send_message(ready(midi), message, (int)length) == 0 && midi->device->ok;
}
