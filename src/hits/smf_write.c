/* Writes a take as a Standard MIDI File of format 1: the bytes. What they say is planned in
 * smf_plan.c, so that nothing is written of a take that cannot be. */
#include <stdlib.h>
#include <string.h>

#include "smf_plan.h"

enum {
    DRUM_CHANNEL = 9, /* "channel 10": General MIDI's percussion */
    LARGEST_DELTA = 0x0FFFFFFF,
    RELEASE_VELOCITY = 64,
    HIGH_RESOLUTION_VELOCITY = 88,
    META_TEXT = 0x01,
    META_NAME = 0x03,
    META_END_OF_TRACK = 0x2F,
    META_TEMPO = 0x51,
    META_TIME_SIGNATURE = 0x58
};

struct track {
    struct eh_text *out;
    size_t begin; /* of the content */
    int64_t tick; /* of the last event */
};

static void put_byte(struct eh_text *out, int byte) {
    const unsigned char b = (unsigned char)byte;
    eh_text_add_bytes(out, &b, 1);
}

static void put_big_endian(struct eh_text *out, uint32_t value, int bytes) {
    for (int i = bytes - 1; i >= 0; i--) {
        put_byte(out, (int)(value >> (8 * i) & 0xFF));
    }
}

static void put_vlq(struct eh_text *out, uint32_t value) {
    for (int shift = 21; shift > 0; shift -= 7) {
        if (value >> shift != 0) {
            put_byte(out, (int)((value >> shift & 0x7F) | 0x80));
        }
    }
    put_byte(out, (int)(value & 0x7F));
}

static struct track begin_track(struct eh_text *out) {
    eh_text_add(out, "MTrk");
    put_big_endian(out, 0, 4);
    return (struct track){.out = out, .begin = out->length};
}

static void put_meta(struct eh_text *out, int type, const void *content, size_t length) {
    put_byte(out, 0xFF);
    put_byte(out, type);
    put_vlq(out, (uint32_t)length);
    eh_text_add_bytes(out, content, length);
}

/* The delta-time to TICK; a silence too long for one is bridged by empty texts. */
static void put_delta(struct track *track, int64_t tick) {
    while (tick - track->tick > LARGEST_DELTA) {
        put_vlq(track->out, LARGEST_DELTA);
        put_meta(track->out, META_TEXT, "", 0);
        track->tick += LARGEST_DELTA;
    }
    put_vlq(track->out, (uint32_t)(tick - track->tick));
    track->tick = tick;
}

static void end_track(struct track *track) {
    put_delta(track, track->tick);
    put_meta(track->out, META_END_OF_TRACK, "", 0);
    if (track->out->failed) {
        return;
    }
    const size_t length = track->out->length - track->begin;
    for (size_t i = 0; i < 4; i++) {
        track->out->data[track->begin - 4 + i] = (char)(length >> (8 * (3 - i)) & 0xFF);
    }
}

static void put_tempo(struct track *track, const struct eh_tempo_segment *segment) {
    put_delta(track, segment->at);
    const int64_t us = segment->ns_per_quarter / 1000;
    const uint8_t content[3] = {(uint8_t)(us >> 16), (uint8_t)(us >> 8), (uint8_t)us};
    put_meta(track->out, META_TEMPO, content, sizeof content);
}

static uint8_t power_of_two(uint8_t unit) {
    uint8_t power = 0;
    while (unit >> power > 1) {
        power++;
    }
    return power;
}

/* MIDI clocks (24 a quarter) from one beat to the next: three eighths in 6/8 and its like. */
static uint8_t clocks_a_beat(struct eh_metre_change metre) {
    if (metre.unit == 8 && metre.beats > 3 && metre.beats % 3 == 0) {
        return 36;
    }
    const int clocks = 96 / metre.unit;
    return (uint8_t)(clocks > 0 ? clocks : 1);
}

static void put_metre(struct track *track, struct eh_metre_change metre) {
    put_delta(track, metre.at);
    const uint8_t power = power_of_two(metre.unit);
    const uint8_t clocks = clocks_a_beat(metre);
    const uint8_t content[4] = {metre.beats, power, clocks, 8};
    put_meta(track->out, META_TIME_SIGNATURE, content, sizeof content);
}

/* The conductor's track: tempos and metres in order of ticks. */
static void put_conductor(struct eh_text *out, const struct smf_plan *plan, const char *title) {
    struct track track = begin_track(out);
    put_delta(&track, 0);
    put_meta(out, META_NAME, title, strlen(title));
    size_t m = 0;
    for (size_t t = 0; t < plan->click.count || m < plan->metre_count;) {
        if (m == plan->metre_count ||
            (t < plan->click.count && plan->click.segments[t].at <= plan->metres[m].at)) {
            put_tempo(&track, &plan->click.segments[t++]);
        } else {
            put_metre(&track, plan->metres[m++]);
        }
    }
    end_track(&track);
}

/* Velocity in 14 bits, at least 1.0: a note-on of velocity 0 would be a note-off. */
static int fine_velocity(uint16_t velocity) {
    const int rounded = (velocity + 2) / 4;
    if (rounded < 128) {
        return 128;
    }
    return rounded > 0x3FFF ? 0x3FFF : rounded;
}

static void put_stroke(struct track *track, const struct smf_stroke *stroke) {
    const int fine = fine_velocity(stroke->velocity);
    if (stroke->begins && fine % 128 != 0) {
        put_delta(track, stroke->tick);
        put_byte(track->out, 0xB0 | DRUM_CHANNEL);
        put_byte(track->out, HIGH_RESOLUTION_VELOCITY);
        put_byte(track->out, fine % 128);
    }
    put_delta(track, stroke->tick);
    put_byte(track->out, (stroke->begins ? 0x90 : 0x80) | DRUM_CHANNEL);
    put_byte(track->out, stroke->note);
    put_byte(track->out, stroke->begins ? fine / 128 : RELEASE_VELOCITY);
}

static void put_strokes(struct eh_text *out, const struct smf_plan *plan) {
    struct track track = begin_track(out);
    for (size_t i = 0; i < plan->stroke_count; i++) {
        put_stroke(&track, &plan->strokes[i]);
    }
    end_track(&track);
}

static void put_file(struct eh_text *out, const struct smf_plan *plan, const char *title) {
    eh_text_add(out, "MThd");
    put_big_endian(out, 6, 4);
    put_big_endian(out, 1, 2);
    put_big_endian(out, 2, 2);
    put_big_endian(out, (uint32_t)EH_SMF_DIVISION, 2);
    put_conductor(out, plan, title);
    put_strokes(out, plan);
}

enum eh_status eh_smf_write(struct eh_text *out, const struct eh_take *take, const char *title,
                            struct eh_error *error) {
    eh_error_clear(error);
    struct smf_plan plan = {0};
    enum eh_status status = smf_plan_init(&plan, take, error);
    if (status == EH_OK) {
        put_file(out, &plan, title == NULL ? "" : title);
        status = eh_text_status(out);
    }
    smf_plan_deinit(&plan);
    if (status == EH_NO_MEMORY) {
        return eh_fail(error, status, "not enough memory to write the MIDI file");
    }
    return status;
}
