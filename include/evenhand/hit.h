/* What was played: one hit, and a take, which is a row of hits with the click they were played to.
 *
 * A live kit, a recorded file, the demo player and a stored run all become the same take. */
#ifndef EVENHAND_HIT_H
#define EVENHAND_HIT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/status.h"
#include "evenhand/time.h"

/* Velocity on a 16-bit scale: the 7-bit velocity times 512 plus the low seven bits of a High
 * Resolution Velocity prefix (MIDI CA-031, controller 88) times 4. */
#define EH_VELOCITY_UNIT 512
#define EH_VELOCITY_TOP (127 * EH_VELOCITY_UNIT)

struct eh_hit {
    int64_t at_ns;     /* on the take's clock */
    uint16_t velocity; /* 512 .. 65535; >= EH_VELOCITY_TOP is saturated */
    uint8_t note;      /* MIDI note 0 .. 127 */
    uint8_t channel;   /* 0 .. 15 */
};

/* 1 .. 127, with a fraction where the kit sends more bits. */
static inline double eh_hit_velocity(const struct eh_hit *hit) {
    return (double)hit->velocity / EH_VELOCITY_UNIT;
}

/* A metre that begins at a bar line of a take's click. */
struct eh_metre_change {
    eh_ticks at;   /* on the take's ticks */
    uint8_t beats; /* e.g. 6 ... */
    uint8_t unit;  /* ... over 8 */
};

/* The take's ticks count from its own zero: a file's beginning, or the first beat of the exercise
 * in a practice of ours (its count-in then lies before zero). */
struct eh_take {
    char source[256];    /* a file's name or "run:12"; only shown */
    struct eh_hit *hits; /* owned; rising times, equal times in order of arrival */
    size_t count;
    size_t capacity;
    struct eh_tempo_map click;      /* the click's ticks to the take's clock */
    struct eh_metre_change *metres; /* owned; at least one, the first at or before tick 0 */
    size_t metre_count;
    int64_t resolution_ns; /* what one step of the take's clock is worth */
    uint32_t dropped;      /* hits lost on the way in; 0 = reliable */
};

/* Frees what the take owns; an all-zero take is accepted. */
void eh_take_deinit(struct eh_take *take);

/* Appends a hit; a time before the last one's is put in its place (after equal times).
 * Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_take_add(struct eh_take *take, const struct eh_hit *hit);

EH_MUST_USE enum eh_status eh_take_add_metre(struct eh_take *take, struct eh_metre_change metre);

/* Where a position lies among the bars of the take's click: bar from 1, ticks into it. */
void eh_take_locate(const struct eh_take *take, eh_ticks at, int *out_bar, eh_ticks *out_in_bar);

/* The tick at which BAR (from 1) begins, by the take's metres. */
eh_ticks eh_take_bar_start(const struct eh_take *take, int bar);

/* The metre in force at a position. */
struct eh_metre_change eh_take_metre(const struct eh_take *take, eh_ticks at);

#endif
