/* The MIDI callback, fed with bytes as RtMidi hands them over. */
#include <criterion/criterion.h>
#include <time.h>

#include "evenhand/hit.h"
#include "midi_process.h"

static struct eh_midi_process process;

static void set_up(size_t room) {
    struct eh_ring *ring;
    cr_assert_eq(eh_ring_new(&ring, sizeof(struct eh_hit), room), EH_OK);
    eh_midi_process_init(&process, ring);
}

struct message {
    size_t length;
    unsigned char bytes[4];
};

static void feed(const struct message *message) {
    eh_midi_process(0.001, message->bytes, message->length, &process);
}

Test(midi_process, takes_note_ons_of_every_note_and_channel_and_nothing_else) {
    static const struct row {
        struct message message;
        int hit; /* 0: none */
        int note, channel, velocity;
    } rows[] = {
        {{3, {0x90, 38, 100}}, 1, 38, 0, 100},
        {{3, {0x9F, 127, 127}}, 1, 127, 15, 127},
        {{3, {0x99, 0, 1}}, 1, 0, 9, 1},
        {{3, {0x90, 38, 0}}, 0, 0, 0, 0}, /* a note-off by another name */
        {{3, {0x80, 38, 64}}, 0, 0, 0, 0},
        {{3, {0xA0, 38, 64}}, 0, 0, 0, 0}, /* aftertouch */
        {{3, {0xB0, 4, 64}}, 0, 0, 0, 0},  /* the pedal */
        {{2, {0xC0, 5, 0}}, 0, 0, 0, 0},
        {{3, {0xE0, 0, 64}}, 0, 0, 0, 0},
        {{1, {0xFE}}, 0, 0, 0, 0}, /* active sensing */
        {{1, {0xF8}}, 0, 0, 0, 0}, /* clock */
        {{3, {0xF2, 1, 2}}, 0, 0, 0, 0},
        {{4, {0xF0, 0x7E, 0x90, 0xF7}}, 0, 0, 0, 0},
        {{2, {0x90, 38}}, 0, 0, 0, 0}, /* cut short */
        {{0, {0x90, 38, 100}}, 0, 0, 0, 0},
        {{3, {38, 100, 38}}, 0, 0, 0, 0}, /* no status byte */
    };
    set_up(64);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct eh_hit hit;
        feed(&rows[i].message);
        cr_assert_eq(eh_ring_pop(process.hits, &hit), rows[i].hit == 1, "row %zu", i);
        if (rows[i].hit) {
            cr_assert(hit.note == rows[i].note && hit.channel == rows[i].channel &&
                          hit.velocity == rows[i].velocity * EH_VELOCITY_UNIT,
                      "row %zu", i);
        }
    }
    cr_assert_eq(atomic_load(&process.received), 3);
    eh_ring_free(process.hits);
}

/* High Resolution Velocity Prefix: controller 88 (58H) carries the seven low bits for the note
 * message that follows on its channel, so that 14 bits = note-on velocity << 7 | prefix. MIDI
 * Manufacturers Association, CA-031 (2010). */
Test(midi_process, honours_a_high_resolution_velocity_prefix_once_and_by_channel) {
    static const struct message messages[] = {
        {3, {0xB0, 88, 127}}, {3, {0x90, 38, 100}},                     /* 100 and 127/128 */
        {3, {0x90, 38, 100}},                                           /* used up */
        {3, {0xB1, 88, 64}},  {3, {0x90, 38, 1}},                       /* of another channel */
        {3, {0x91, 38, 1}},                                             /* 1 and 64/128 */
        {3, {0xB0, 88, 5}},   {3, {0x80, 38, 64}},  {3, {0x90, 38, 7}}, /* a note-off uses it up */
        {3, {0xB0, 88, 5}},   {3, {0x90, 38, 0}},   {3, {0x90, 38, 8}},
        {3, {0xB0, 88, 5}},   {3, {0xB0, 88, 6}},   {3, {0x90, 38, 127}}, /* the last one counts */
        {3, {0xB0, 88, 9}},   {3, {0xB0, 4, 90}},   {3, {0x90, 38, 9}},   /* the pedal between */
    };
    static const unsigned velocities[] = {
        100 * 512 + 127 * 4, 100 * 512,       512, 512 + 64 * 4, 7 * 512, 8 * 512,
        127 * 512 + 6 * 4,   9 * 512 + 9 * 4,
    };
    set_up(64);
    for (size_t i = 0; i < sizeof messages / sizeof *messages; i++) {
        feed(&messages[i]);
    }
    for (size_t i = 0; i < sizeof velocities / sizeof *velocities; i++) {
        struct eh_hit hit;
        cr_assert(eh_ring_pop(process.hits, &hit));
        cr_assert_eq(hit.velocity, velocities[i], "hit %zu: %u", i, (unsigned)hit.velocity);
    }
    cr_assert(eh_ring_peek(process.hits) == NULL);
    eh_ring_free(process.hits);
}

Test(midi_process, stamps_with_the_monotonic_clock_and_counts_what_is_lost) {
    const struct message message = {3, {0x90, 38, 100}};
    struct timespec before, after;
    struct eh_hit hit;
    set_up(4);
    clock_gettime(CLOCK_MONOTONIC, &before);
    feed(&message);
    clock_gettime(CLOCK_MONOTONIC, &after);
    cr_assert(eh_ring_pop(process.hits, &hit));
    cr_assert(hit.at_ns >= before.tv_sec * 1000000000 + before.tv_nsec);
    cr_assert(hit.at_ns <= after.tv_sec * 1000000000 + after.tv_nsec);
    for (int i = 0; i < 7; i++) {
        feed(&message);
    }
    cr_assert_eq(eh_ring_dropped(process.hits), 3);
    cr_assert_eq(atomic_load(&process.received), 8);
    cr_assert(atomic_load(&process.worst_ns) > 0);
    eh_ring_free(process.hits);
}
