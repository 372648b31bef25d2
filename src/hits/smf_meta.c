/* The meta events that matter here: tempo, time signature, End of Track. The others (names, texts,
 * SMPTE offset, key, port, sequencer's own) are passed over. */
#include <stdlib.h>

#include "smf_internal.h"

enum { META_END_OF_TRACK = 0x2F, META_TEMPO = 0x51, META_TIME_SIGNATURE = 0x58 };

enum { TEMPO_BYTES = 3, TIME_SIGNATURE_BYTES = 4, LARGEST_UNIT_POWER = 7 };

static enum eh_status add_tempo(struct smf_events *events, struct smf_tempo tempo,
                                struct eh_error *error) {
    if (events->tempo_count == events->tempo_capacity) {
        const size_t capacity = events->tempo_capacity == 0 ? 8 : events->tempo_capacity * 2;
        struct smf_tempo *grown = realloc(events->tempos, capacity * sizeof *grown);
        if (grown == NULL) {
            return smf_no_memory(error);
        }
        events->tempos = grown;
        events->tempo_capacity = capacity;
    }
    events->tempos[events->tempo_count++] = tempo;
    return EH_OK;
}

static enum eh_status add_metre(struct smf_events *events, struct smf_metre metre,
                                struct eh_error *error) {
    if (events->metre_count == events->metre_capacity) {
        const size_t capacity = events->metre_capacity == 0 ? 8 : events->metre_capacity * 2;
        struct smf_metre *grown = realloc(events->metres, capacity * sizeof *grown);
        if (grown == NULL) {
            return smf_no_memory(error);
        }
        events->metres = grown;
        events->metre_capacity = capacity;
    }
    events->metres[events->metre_count++] = metre;
    return EH_OK;
}

static enum eh_status check_length(const struct smf_cursor *in, size_t offset, const char *name,
                                   uint32_t length, uint32_t needed) {
    if (length >= needed) {
        return EH_OK;
    }
    return smf_refuse(in, EH_BAD_FORMAT, offset,
                      "a %s of %lu bytes where %lu are needed; the file is damaged: export it "
                      "again",
                      name, (unsigned long)length, (unsigned long)needed);
}

static enum eh_status read_tempo(const struct smf_cursor *in, size_t offset, uint32_t length,
                                 int64_t tick, struct smf_events *events) {
    const enum eh_status status = check_length(in, offset, "tempo event", length, TEMPO_BYTES);
    if (status != EH_OK) {
        return status;
    }
    const uint8_t *b = in->bytes + in->at;
    const uint32_t quarter_us = (uint32_t)b[0] << 16 | (uint32_t)b[1] << 8 | b[2];
    if (quarter_us < EH_SMF_SHORTEST_QUARTER_US) {
        return smf_refuse(in, EH_BAD_FORMAT, offset,
                          "a tempo of %lu microseconds to the quarter, below the %d that are "
                          "accepted; correct the tempo in the program that made the file",
                          (unsigned long)quarter_us, EH_SMF_SHORTEST_QUARTER_US);
    }
    const struct smf_tempo tempo = {
        .tick = tick, .offset = (uint32_t)offset, .quarter_us = quarter_us};
    return add_tempo(events, tempo, in->error);
}

static enum eh_status read_time_signature(const struct smf_cursor *in, size_t offset,
                                          uint32_t length, int64_t tick,
                                          struct smf_events *events) {
    const enum eh_status status =
        check_length(in, offset, "time signature", length, TIME_SIGNATURE_BYTES);
    if (status != EH_OK) {
        return status;
    }
    const uint8_t beats = in->bytes[in->at];
    const uint8_t power = in->bytes[in->at + 1];
    if (beats == 0 || power > LARGEST_UNIT_POWER) {
        return smf_refuse(in, EH_BAD_FORMAT, offset,
                          "a time signature of %u over 2^%u, where 1 to 255 over 1 to 128 is "
                          "possible; correct it in the program that made the file",
                          beats, power);
    }
    const struct smf_metre metre = {
        .tick = tick, .offset = (uint32_t)offset, .beats = beats, .unit = (uint8_t)(1U << power)};
    return add_metre(events, metre, in->error);
}

static enum eh_status use_meta(const struct smf_cursor *in, size_t offset, uint8_t type,
                               uint32_t length, int64_t tick, struct smf_events *events) {
    if (type == META_TEMPO) {
        return read_tempo(in, offset, length, tick, events);
    }
    if (type == META_TIME_SIGNATURE) {
        return read_time_signature(in, offset, length, tick, events);
    }
    return EH_OK;
}

enum eh_status smf_read_meta(struct smf_cursor *in, int64_t tick, struct smf_events *events,
                             bool *out_end) {
    const size_t offset = in->at - 1; /* of the FF byte */
    uint8_t type = 0;
    uint32_t length = 0;
    enum eh_status status = smf_byte(in, "a meta event", &type);
    if (status == EH_OK) {
        status = smf_vlq(in, "the length of a meta event", &length);
    }
    if (status != EH_OK) {
        return status;
    }
    if (type >= 0x80 || length > in->end - in->at) {
        return smf_refuse(in, EH_BAD_FORMAT, offset,
                          "a meta event of type 0x%02X and %lu bytes, with %lu left in the track; "
                          "the file is damaged: export it again",
                          type, (unsigned long)length, (unsigned long)(in->end - in->at));
    }
    status = use_meta(in, offset, type, length, tick, events);
    in->at += length;
    *out_end = type == META_END_OF_TRACK;
    return status;
}
