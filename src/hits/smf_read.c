/* The chunks of a Standard MIDI File: header, tracks, and whatever else stands around them. */
#include <stdio.h>
#include <string.h>

#include "smf_internal.h"

enum { CHUNK_HEAD = 8, HEADER_BYTES = 6, RIFF_HEAD = 12, LOOKED_AT = 64 };

struct header {
    int format;
    int tracks;
    struct smf_division division;
};

static bool begins_with(const struct smf_cursor *in, const char *word) {
    const size_t length = strlen(word);
    return in->end - in->at >= length && memcmp(in->bytes + in->at, word, length) == 0;
}

static uint32_t big_endian(const uint8_t *b) {
    return (uint32_t)b[0] << 24 | (uint32_t)b[1] << 16 | (uint32_t)b[2] << 8 | b[3];
}

static uint32_t little_endian(const uint8_t *b) {
    return (uint32_t)b[3] << 24 | (uint32_t)b[2] << 16 | (uint32_t)b[1] << 8 | b[0];
}

static bool looks_like_text(const struct smf_cursor *in) {
    const size_t left = in->end - in->at;
    const size_t length = left < LOOKED_AT ? left : LOOKED_AT;
    for (size_t i = 0; i < length; i++) {
        const uint8_t c = in->bytes[in->at + i];
        if ((c < 0x20 && c != '\t' && c != '\n' && c != '\r') || c == 0x7F) {
            return false;
        }
    }
    return true;
}

static enum eh_status refuse_foreign(const struct smf_cursor *in) {
    const char *what = "is no MIDI file: it does not begin with \"MThd\"";
    if (begins_with(in, "PK\003\004")) {
        what = "is a zip archive (a compressed score?), no MIDI file";
    } else if (begins_with(in, "<")) {
        what = "is XML text (a score?), no MIDI file";
    } else if (looks_like_text(in)) {
        what = "is a text file, no MIDI file";
    }
    return smf_refuse(in, EH_BAD_FORMAT, in->at,
                      "this %s; give a Standard MIDI File (.mid) of what was played", what);
}

/* Moves the cursor over the MIDI file inside a RIFF "RMID" wrapper. RIFF counts little-endian and
 * pads its chunks to even lengths. */
static enum eh_status unwrap_riff(struct smf_cursor *in) {
    const size_t start = in->at;
    if (in->end - start < RIFF_HEAD || memcmp(in->bytes + start + 8, "RMID", 4) != 0) {
        return smf_refuse(in, EH_BAD_FORMAT, start,
                          "this is a RIFF file without MIDI in it (sound?); give a Standard MIDI "
                          "File (.mid) of what was played");
    }
    in->at += RIFF_HEAD;
    while (in->end - in->at >= CHUNK_HEAD) {
        const uint32_t length = little_endian(in->bytes + in->at + 4);
        const bool found = begins_with(in, "data");
        const size_t left = in->end - in->at - CHUNK_HEAD;
        if (length > left) {
            return smf_refuse(in, EH_BAD_FORMAT, in->at + 4,
                              "a chunk claims %lu bytes and the file has %lu left: it was cut "
                              "off; copy or export it again",
                              (unsigned long)length, (unsigned long)left);
        }
        in->at += CHUNK_HEAD;
        if (found) {
            in->end = in->at + length;
            return EH_OK;
        }
        in->at += length + (length % 2 != 0 && length < left ? 1 : 0);
    }
    return smf_refuse(in, EH_BAD_FORMAT, start,
                      "this RIFF file has no chunk \"data\" with a MIDI file in it; export it "
                      "again as a plain MIDI file");
}

/* Bit 15 clear: ticks to a quarter. Set: the upper byte is minus the frames a second (-29 stands
 * for 30 drop-frame, 30000/1001 frames a second: drop-frame leaves out numbers, not frames), the
 * lower byte the ticks to a frame. Standard MIDI Files 1.0, "Header Chunks". */
static enum eh_status read_division(const struct smf_cursor *in, size_t offset,
                                    struct smf_division *out) {
    const int high = in->bytes[offset];
    const int low = in->bytes[offset + 1];
    *out = (struct smf_division){.tick_ns_above = EH_NS_PER_S, .tick_ns_below = 1};
    if (high < 0x80) {
        out->ticks_per_quarter = high << 8 | low;
    } else {
        const int frames = 256 - high;
        const bool known = frames == 24 || frames == 25 || frames == 29 || frames == 30;
        out->tick_ns_above = frames == 29 ? EH_NS_PER_S / 10000 * 1001 : EH_NS_PER_S;
        out->tick_ns_below = (frames == 29 ? 3 : frames) * (int64_t)(known ? low : 0);
    }
    if (out->ticks_per_quarter > 0 || (high >= 0x80 && out->tick_ns_below > 0)) {
        return EH_OK;
    }
    return smf_refuse(in, EH_BAD_FORMAT, offset,
                      "the time division 0x%02X%02X means nothing: it gives neither ticks to a "
                      "quarter nor 24, 25, 29 or 30 frames with ticks; export the file again",
                      (unsigned)high, (unsigned)low);
}

static enum eh_status check_format(const struct smf_cursor *in, size_t content,
                                   const struct header *header) {
    if (header->format == 2) {
        return smf_refuse(in, EH_BAD_FORMAT, content,
                          "a MIDI file of format 2 holds separate patterns, not one performance; "
                          "save it as format 0 or 1");
    }
    if (header->format > 2) {
        return smf_refuse(in, EH_BAD_FORMAT, content,
                          "MIDI file format %d is unknown; save it as format 0 or 1",
                          header->format);
    }
    if (header->tracks == 0 || (header->format == 0 && header->tracks != 1)) {
        return smf_refuse(in, EH_BAD_FORMAT, content + 2,
                          "a MIDI file of format %d with %d tracks; format 0 has one and format 1 "
                          "at least one: export it again",
                          header->format, header->tracks);
    }
    return EH_OK;
}

static enum eh_status read_header(struct smf_cursor *in, struct header *out) {
    const size_t start = in->at;
    const size_t left = in->end - start;
    const uint32_t length = left >= CHUNK_HEAD ? big_endian(in->bytes + start + 4) : HEADER_BYTES;
    if (left < CHUNK_HEAD + HEADER_BYTES || length > left - CHUNK_HEAD) {
        return smf_refuse(in, EH_BAD_FORMAT, left < CHUNK_HEAD + HEADER_BYTES ? in->end : start + 4,
                          "the file ends inside its header: it was cut off; copy or export it "
                          "again");
    }
    if (length < HEADER_BYTES) {
        return smf_refuse(in, EH_BAD_FORMAT, start + 4,
                          "a header of %lu bytes where a MIDI file has six; the file is damaged: "
                          "export it again",
                          (unsigned long)length);
    }
    const size_t content = start + CHUNK_HEAD;
    const uint8_t *b = in->bytes + content;
    out->format = b[0] << 8 | b[1];
    out->tracks = b[2] << 8 | b[3];
    in->at = content + length; /* a longer header is a newer one: the rest is passed over */
    const enum eh_status status = check_format(in, content, out);
    return status != EH_OK ? status : read_division(in, content + 4, &out->division);
}

static enum eh_status refuse_missing_track(const struct smf_cursor *in, int found, int promised) {
    return smf_refuse(in, EH_BAD_FORMAT, in->at,
                      "the header promises %d track%s and the file ends after %d: it was cut off; "
                      "copy or export it again",
                      promised, promised == 1 ? "" : "s", found);
}

/* Reads the chunk at the cursor. *OUT_STOP when what remains is no chunk and no track is due. */
static enum eh_status read_chunk(struct smf_cursor *in, int promised, int *found, bool *out_stop,
                                 struct smf_events *events) {
    const uint32_t length = big_endian(in->bytes + in->at + 4);
    const size_t left = in->end - in->at - CHUNK_HEAD;
    const bool is_track = begins_with(in, "MTrk");
    if (is_track && *found == promised) {
        return smf_refuse(in, EH_BAD_FORMAT, in->at,
                          "here begins one track more than the header promises (%d); the file "
                          "is damaged: export it again",
                          promised);
    }
    if (length > left) {
        *out_stop = *found == promised;
        return *out_stop
                   ? EH_OK
                   : smf_refuse(in, EH_BAD_FORMAT, in->at + 4,
                                "track %d of %d: a chunk claims %lu bytes and the file has "
                                "%lu left: it was cut off; copy or export it again",
                                *found + 1, promised, (unsigned long)length, (unsigned long)left);
    }
    struct smf_cursor content = *in;
    content.at += CHUNK_HEAD;
    content.end = content.at + length;
    in->at = content.end;
    if (!is_track) {
        return EH_OK;
    }
    content.track = ++*found;
    return smf_read_track(content, events);
}

static enum eh_status read_chunks(struct smf_cursor *in, int promised, struct smf_events *events) {
    int found = 0;
    bool stop = false;
    while (!stop && in->end - in->at >= CHUNK_HEAD) {
        const enum eh_status status = read_chunk(in, promised, &found, &stop, events);
        if (status != EH_OK) {
            return status;
        }
    }
    return found < promised ? refuse_missing_track(in, found, promised) : EH_OK;
}

static enum eh_status find_file(struct smf_cursor *in) {
    if (in->end == 0) {
        return smf_refuse(in, EH_BAD_FORMAT, 0,
                          "the file is empty; give a Standard MIDI File (.mid) of what was played");
    }
    if (in->end > EH_SMF_LONGEST) {
        return smf_refuse(in, EH_TOO_LARGE, EH_SMF_LONGEST,
                          "the file is longer than %lu MiB, the most that is read; cut it into "
                          "shorter takes",
                          (unsigned long)(EH_SMF_LONGEST >> 20));
    }
    if (begins_with(in, "RIFF")) {
        const enum eh_status status = unwrap_riff(in);
        if (status != EH_OK) {
            return status;
        }
    }
    return begins_with(in, "MThd") ? EH_OK : refuse_foreign(in);
}

static enum eh_status read_file(struct smf_cursor *in, struct eh_take *take,
                                struct smf_events *events) {
    struct header header = {0};
    enum eh_status status = find_file(in);
    if (status == EH_OK) {
        status = read_header(in, &header);
    }
    if (status == EH_OK) {
        status = read_chunks(in, header.tracks, events);
    }
    return status != EH_OK ? status : smf_fill_take(take, events, &header.division, in->error);
}

enum eh_status eh_smf_read(struct eh_take *out_take, const uint8_t *bytes, size_t length,
                           const char *source, struct eh_error *error) {
    *out_take = (struct eh_take){0};
    eh_error_clear(error);
    struct smf_cursor in = {.bytes = bytes, .end = length, .error = error};
    struct smf_events events = {0};
    const enum eh_status status = read_file(&in, out_take, &events);
    smf_events_deinit(&events);
    if (status != EH_OK) {
        eh_take_deinit(out_take);
        return status;
    }
    (void)snprintf(out_take->source, sizeof out_take->source, "%s", source);
    return EH_OK;
}
