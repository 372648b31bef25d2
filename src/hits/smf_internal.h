/* What the pieces of the Standard MIDI File reader share: a cursor over the file's bytes, and the
 * events that matter as they stand in the file, before ticks become time. */
#ifndef EVENHAND_SMF_INTERNAL_H
#define EVENHAND_SMF_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/smf.h"

/* No event lies later than this. At the shortest quarter and the finest division 24 hours are
 * 2^41.4 ticks, so the limit on time is the one met in practice; this one keeps ticks times
 * microseconds a quarter (24 bits) below 2^62. */
#define SMF_LAST_TICK ((INT64_C(1) << 38) - 1)

/* Bytes AT .. END of one chunk. Offsets are always those of the whole file. */
struct smf_cursor {
    const uint8_t *bytes;
    size_t at;
    size_t end;
    int track; /* from 1; 0 outside tracks */
    struct eh_error *error;
};

enum eh_status smf_byte(struct smf_cursor *in, const char *within, uint8_t *out_byte);

/* A data byte (0 .. 127) of a channel or system message; real-time bytes before it are passed
 * over. */
enum eh_status smf_data_byte(struct smf_cursor *in, const char *within, uint8_t *out_byte);

/* A variable-length quantity: seven bits a byte, at most four bytes. */
enum eh_status smf_vlq(struct smf_cursor *in, const char *within, uint32_t *out_value);

/* Refuses the bytes at OFFSET: "track 2: " or nothing, then the words. */
enum eh_status smf_refuse(const struct smf_cursor *in, enum eh_status status, size_t offset,
                          const char *format, ...) EH_PRINTF(4, 5);

enum eh_status smf_no_memory(struct eh_error *error);

/* Every event carries its byte offset: it names the place in a refusal and orders events of equal
 * ticks as the file does (the file's length fits 32 bits). */
struct smf_note {
    int64_t tick;
    uint32_t offset;
    uint16_t velocity; /* 16-bit scale of struct eh_hit */
    uint8_t note;
    uint8_t channel;
};

struct smf_tempo {
    int64_t tick;
    uint32_t offset;
    uint32_t quarter_us;
};

struct smf_metre {
    int64_t tick;
    uint32_t offset;
    uint8_t beats;
    uint8_t unit;
};

struct smf_events {
    struct smf_note *notes;
    size_t note_count;
    size_t note_capacity;
    struct smf_tempo *tempos;
    size_t tempo_count;
    size_t tempo_capacity;
    struct smf_metre *metres;
    size_t metre_count;
    size_t metre_capacity;
};

void smf_events_deinit(struct smf_events *events);

/* Adds the events of one track chunk (IN covers its content). */
enum eh_status smf_read_track(struct smf_cursor in, struct smf_events *events);

/* Meta events (FF): reads type, length and content; *OUT_END on End of Track. */
enum eh_status smf_read_meta(struct smf_cursor *in, int64_t tick, struct smf_events *events,
                             bool *out_end);

/* How ticks become time, from the header's division word. */
struct smf_division {
    int ticks_per_quarter; /* > 0, or 0 when ticks are parts of video frames; then a tick is */
    int64_t tick_ns_above; /* ... this many nanoseconds ... */
    int64_t tick_ns_below; /* ... over this */
};

/* Turns the events, in any order, into the take's hits, click, metres and resolution. */
enum eh_status smf_fill_take(struct eh_take *take, struct smf_events *events,
                             const struct smf_division *division, struct eh_error *error);

#endif
