#include "smf_internal.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

enum { LONGEST_VLQ = 4 };

enum eh_status smf_refuse(const struct smf_cursor *in, enum eh_status status, size_t offset,
                          const char *format, ...) {
    char words[EH_ERROR_TEXT];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(words, sizeof words, format, args);
    va_end(args);
    char where[32] = "";
    if (in->track > 0) {
        (void)snprintf(where, sizeof where, "track %d: ", in->track);
    }
    return eh_fail_offset(in->error, status, (long long)offset, "%s%s", where, words);
}

enum eh_status smf_no_memory(struct eh_error *error) {
    return eh_fail_offset(error, EH_NO_MEMORY, -1, "not enough memory to read the MIDI file");
}

enum eh_status smf_byte(struct smf_cursor *in, const char *within, uint8_t *out_byte) {
    if (in->at >= in->end) {
        return smf_refuse(in, EH_BAD_FORMAT, in->at,
                          "its data ends inside %s; the file is damaged or its track length is "
                          "wrong: export it again",
                          within);
    }
    *out_byte = in->bytes[in->at++];
    return EH_OK;
}

static bool is_real_time(uint8_t byte) {
    return byte >= 0xF8 && byte != 0xFF;
}

enum eh_status smf_data_byte(struct smf_cursor *in, const char *within, uint8_t *out_byte) {
    do {
        const enum eh_status status = smf_byte(in, within, out_byte);
        if (status != EH_OK) {
            return status;
        }
    } while (is_real_time(*out_byte));
    if (*out_byte < 0x80) {
        return EH_OK;
    }
    return smf_refuse(in, EH_BAD_FORMAT, in->at - 1,
                      "%s has the byte 0x%02X where a value from 0 to 127 belongs; the file is "
                      "damaged: export it again",
                      within, *out_byte);
}

enum eh_status smf_vlq(struct smf_cursor *in, const char *within, uint32_t *out_value) {
    const size_t start = in->at;
    uint32_t value = 0;
    for (int i = 0; i < LONGEST_VLQ; i++) {
        uint8_t byte = 0;
        const enum eh_status status = smf_byte(in, within, &byte);
        if (status != EH_OK) {
            return status;
        }
        value = value << 7 | (byte & 0x7FU);
        if (byte < 0x80) {
            *out_value = value;
            return EH_OK;
        }
    }
    return smf_refuse(in, EH_BAD_FORMAT, start,
                      "%s is longer than four bytes, the most that a MIDI file allows; the file is "
                      "damaged: export it again",
                      within);
}

void smf_events_deinit(struct smf_events *events) {
    free(events->notes);
    free(events->tempos);
    free(events->metres);
    *events = (struct smf_events){0};
}
