/* One track chunk: delta-times and events. Follows the MIDI 1.0 specification for messages and
 * Standard MIDI Files 1.0 for what surrounds them. */
#include <stdlib.h>
#include <string.h>

#include "smf_internal.h"

enum { HIGH_RESOLUTION_VELOCITY = 88 };

struct track {
    struct smf_cursor in;
    struct smf_events *events;
    int64_t tick;
    uint8_t running;  /* the status byte in force; 0 for none */
    uint8_t fine[16]; /* by channel: low velocity bits for the next note message (CA-031) */
};

static enum eh_status add_note(struct track *track, size_t offset, uint8_t channel, uint8_t note,
                               uint8_t velocity) {
    struct smf_events *events = track->events;
    if (events->note_count == events->note_capacity) {
        const size_t capacity = events->note_capacity == 0 ? 64 : events->note_capacity * 2;
        struct smf_note *grown = realloc(events->notes, capacity * sizeof *grown);
        if (grown == NULL) {
            return smf_no_memory(track->in.error);
        }
        events->notes = grown;
        events->note_capacity = capacity;
    }
    events->notes[events->note_count++] = (struct smf_note){
        .tick = track->tick,
        .offset = (uint32_t)offset,
        .velocity = (uint16_t)(velocity * EH_VELOCITY_UNIT + track->fine[channel] * 4),
        .note = note,
        .channel = channel,
    };
    return EH_OK;
}

static const char *message_name(uint8_t status) {
    static const char *const names[] = {
        "a note-off",       "a note-on",  "a key pressure", "a control change",
        "a program change", "a pressure", "a pitch bend",   "a song position",
    };
    return names[(status >> 4) & 7];
}

/* STATUS 0x80 .. 0xEF; its data bytes follow. */
static enum eh_status read_channel_message(struct track *track, size_t offset, uint8_t status) {
    const char *name = message_name(status);
    const uint8_t kind = status & 0xF0;
    const uint8_t channel = status & 0x0F;
    uint8_t first = 0;
    uint8_t second = 0;
    enum eh_status result = smf_data_byte(&track->in, name, &first);
    if (result == EH_OK && kind != 0xC0 && kind != 0xD0) {
        result = smf_data_byte(&track->in, name, &second);
    }
    if (result != EH_OK) {
        return result;
    }
    if (kind == 0x90 && second > 0) {
        result = add_note(track, offset, channel, first, second);
    }
    if (kind == 0x80 || kind == 0x90) {
        track->fine[channel] = 0;
    } else if (kind == 0xB0 && first == HIGH_RESOLUTION_VELOCITY) {
        track->fine[channel] = second;
    }
    return result;
}

/* Sysex packets (F0, F7): a length and that many bytes, none of which concern us. */
static enum eh_status skip_sysex(struct track *track) {
    const size_t start = track->in.at;
    uint32_t length = 0;
    const enum eh_status status = smf_vlq(&track->in, "the length of a system exclusive", &length);
    if (status != EH_OK) {
        return status;
    }
    if (length > track->in.end - track->in.at) {
        return smf_refuse(&track->in, EH_BAD_FORMAT, start,
                          "a system exclusive claims %lu bytes and the track has %lu left; the "
                          "file is damaged: export it again",
                          (unsigned long)length, (unsigned long)(track->in.end - track->in.at));
    }
    track->in.at += length;
    return EH_OK;
}

/* System common messages do not belong in a file but are whole messages all the same. */
static enum eh_status skip_system_common(struct track *track, size_t offset, uint8_t status) {
    static const int data_bytes[16] = {-1, 1, 2, 1, -1, -1, 0, -1, 0, 0, 0, 0, 0, 0, 0, -1};
    const int count = data_bytes[status & 0x0F];
    if (count < 0) {
        return smf_refuse(&track->in, EH_BAD_FORMAT, offset,
                          "the status byte 0x%02X has no meaning in MIDI; the file is damaged: "
                          "export it again",
                          status);
    }
    for (int i = 0; i < count; i++) {
        uint8_t ignored = 0;
        const enum eh_status result = smf_data_byte(&track->in, "a system message", &ignored);
        if (result != EH_OK) {
            return result;
        }
    }
    return EH_OK;
}

static enum eh_status read_system(struct track *track, size_t offset, uint8_t status,
                                  bool *out_end) {
    if (status >= 0xF8 && status != 0xFF) {
        return EH_OK; /* real time: passes through and leaves running status alone */
    }
    track->running = 0;
    if (status == 0xFF) {
        return smf_read_meta(&track->in, track->tick, track->events, out_end);
    }
    if (status == 0xF0 || status == 0xF7) {
        return skip_sysex(track);
    }
    return skip_system_common(track, offset, status);
}

static enum eh_status read_event(struct track *track, bool *out_end) {
    const size_t offset = track->in.at;
    uint8_t status = 0;
    const enum eh_status result = smf_byte(&track->in, "an event", &status);
    if (result != EH_OK) {
        return result;
    }
    if (status >= 0xF0) {
        return read_system(track, offset, status, out_end);
    }
    if (status >= 0x80) {
        track->running = status;
    } else if (track->running != 0) {
        track->in.at = offset; /* the byte is data under the running status */
    } else {
        return smf_refuse(&track->in, EH_BAD_FORMAT, offset,
                          "the data byte 0x%02X stands where an event must begin, and no running "
                          "status is in force; the file is damaged: export it again",
                          status);
    }
    return read_channel_message(track, offset, track->running);
}

static enum eh_status read_delta(struct track *track) {
    const size_t offset = track->in.at;
    uint32_t delta = 0;
    const enum eh_status status = smf_vlq(&track->in, "a delta-time", &delta);
    if (status != EH_OK) {
        return status;
    }
    track->tick += delta;
    if (track->tick > SMF_LAST_TICK) {
        return smf_refuse(&track->in, EH_TOO_LARGE, offset,
                          "an event lies beyond the last tick that can be read; cut the file");
    }
    return EH_OK;
}

/* After End of Track nothing may follow but zeros that fill the chunk up: other bytes could be
 * strokes, and leaving out strokes in silence would make every verdict wrong. */
static enum eh_status check_nothing_follows(const struct smf_cursor *in) {
    for (size_t i = in->at; i < in->end; i++) {
        if (in->bytes[i] != 0) {
            return smf_refuse(in, EH_BAD_FORMAT, i,
                              "there is data after its End of Track; the file is damaged or its "
                              "track length is wrong: export it again");
        }
    }
    return EH_OK;
}

enum eh_status smf_read_track(struct smf_cursor in, struct smf_events *events) {
    struct track track = {.in = in, .events = events};
    bool ended = false;
    while (!ended && track.in.at < track.in.end) {
        enum eh_status status = read_delta(&track);
        if (status == EH_OK) {
            status = read_event(&track, &ended);
        }
        if (status != EH_OK) {
            return status;
        }
    }
    /* A missing End of Track is tolerated: the chunk's length says the same, and all events were
     * whole. */
    return check_nothing_follows(&track.in);
}
