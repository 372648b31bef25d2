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

/* A metre that begins at a bar line of a take's click. A metre that begins inside a bar of the one
 * before cuts that bar short. */
struct eh_metre_change {
    eh_ticks at;   /* on the take's ticks */
    uint8_t beats; /* e.g. 6 ... ; 1 .. 255 */
    uint8_t unit;  /* ... over 8; a power of two, 1 .. 128 */
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
    size_t metre_capacity;
    int64_t resolution_ns; /* what one step of the take's clock is worth */
    uint32_t dropped;      /* hits lost on the way in; 0 = reliable */
};

/* An empty take whose click is one tempo and one metre, both beginning at tick AT, which sounds at
 * AT_NS; AT is METRE.at, at or before 0. SOURCE is copied (cut to fit). Resolution 1 ns, nothing
 * dropped. Errors: EH_NO_MEMORY, EH_OUT_OF_RANGE (tempo or metre); the take is then all zero. */
EH_MUST_USE enum eh_status eh_take_init(struct eh_take *take, const char *source,
                                        struct eh_metre_change metre, int64_t at_ns,
                                        int64_t ns_per_quarter);

/* Frees what the take owns; an all-zero take is accepted. */
void eh_take_deinit(struct eh_take *take);

/* Appends a hit; a time before the last one's is put in its place (after equal times).
 * Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_take_add(struct eh_take *take, const struct eh_hit *hit);

/* Puts a metre in its place among the others; one at the same tick is replaced.
 * Errors: EH_NO_MEMORY, EH_OUT_OF_RANGE (beats or unit). */
EH_MUST_USE enum eh_status eh_take_add_metre(struct eh_take *take, struct eh_metre_change metre);

/* The length of a bar of a metre. */
eh_ticks eh_metre_bar(struct eh_metre_change metre);

/* Bar 1 begins where the take's first metre begins; before it bars 0, -1, ... run backwards in the
 * first metre (the count-in of a practice). A take without a metre counts as 4/4 from tick 0. */

/* Where a position lies among the bars of the take's click: its bar, and 0 <= ticks into it. Bars
 * beyond the range of an int are given as INT_MIN or INT_MAX. */
void eh_take_locate(const struct eh_take *take, eh_ticks at, int *out_bar, eh_ticks *out_in_bar);

/* The tick at which BAR begins, by the take's metres. */
eh_ticks eh_take_bar_start(const struct eh_take *take, int bar);

/* The metre in force at a position; before the first one, the first. */
struct eh_metre_change eh_take_metre(const struct eh_take *take, eh_ticks at);

#endif
