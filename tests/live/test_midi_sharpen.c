#include <criterion/criterion.h>
#include <stdlib.h>

#include "midi_sharpen.h"

#define MS EH_NS_PER_MS
enum { PERIOD_MS = 10 };

static struct eh_sharpen *sharpen;

static void set_up(void) {
    sharpen = malloc(sizeof *sharpen);
    eh_sharpen_init(sharpen, PERIOD_MS * MS);
}

static void tear_down(void) {
    free(sharpen);
}

TestSuite(midi_sharpen, .init = set_up, .fini = tear_down);

static struct eh_hit hit_at(int64_t at_ns, uint8_t note) {
    return (struct eh_hit){.at_ns = at_ns, .velocity = 100 * EH_VELOCITY_UNIT + 8, .note = note};
}

static struct eh_timed_note note_at(int64_t seen_ns, int64_t at_ns, uint8_t note) {
    return (struct eh_timed_note){
        .seen_ns = seen_ns, .at_ns = at_ns, .note = note, .velocity = 100};
}

Test(midi_sharpen, each_hit_takes_its_own_time_in_order) {
    /* A hundred alike notes, four a period, as in a flood. */
    for (int i = 0; i < 100; i++) {
        const int64_t seen_ns = (i / 4) * PERIOD_MS * MS;
        const struct eh_timed_note note = note_at(seen_ns, seen_ns + (i % 4) * 2500000 + 7, 38);
        cr_assert(eh_sharpen_note(sharpen, &note));
    }
    for (int i = 0; i < 100; i++) {
        const int64_t woken_ns = (i / 4) * PERIOD_MS * MS + 300000;
        struct eh_hit hit = hit_at(woken_ns, 38);
        cr_assert_eq(eh_sharpen_hit(sharpen, &hit, INT64_MAX, woken_ns), EH_SHARPENED);
        cr_assert_eq(hit.at_ns, (int64_t)i * 2500000 + 7, "hit %d", i);
    }
    cr_assert_eq(sharpen->exact, 100);
    cr_assert_eq(sharpen->coarse, 0);
}

Test(midi_sharpen, a_hit_waits_until_its_time_can_no_longer_come) {
    struct eh_hit hit = hit_at(100 * MS, 38);
    const int64_t window = 12 * MS;
    cr_assert_eq(eh_sharpen_hit(sharpen, &hit, 90 * MS, 100 * MS), EH_WAIT);
    cr_assert_eq(eh_sharpen_hit(sharpen, &hit, 100 * MS + window, 101 * MS), EH_WAIT);
    struct eh_hit late = hit;
    cr_assert_eq(eh_sharpen_hit(sharpen, &late, 100 * MS + window + 1, 101 * MS), EH_SHARPENED);
    cr_assert_eq(late.at_ns, 100 * MS);
    /* Or until nobody believes in it any more. */
    cr_assert_eq(eh_sharpen_hit(sharpen, &hit, 0, 100 * MS + 2 * window), EH_WAIT);
    cr_assert_eq(eh_sharpen_hit(sharpen, &hit, 0, 100 * MS + 2 * window + 1), EH_SHARPENED);
    cr_assert_eq(hit.at_ns, 100 * MS);
    cr_assert_eq(sharpen->coarse, 2);
}

Test(midi_sharpen, times_without_a_hit_and_hits_without_a_time_leave_the_others_alone) {
    struct eh_timed_note note = note_at(0, 1, 38); /* its hit never came */
    cr_assert(eh_sharpen_note(sharpen, &note));
    note = note_at(100 * MS, 101 * MS, 40); /* of another note */
    cr_assert(eh_sharpen_note(sharpen, &note));
    note = note_at(100 * MS, 102 * MS, 38);
    cr_assert(eh_sharpen_note(sharpen, &note));
    note = note_at(200 * MS, 201 * MS, 40);
    cr_assert(eh_sharpen_note(sharpen, &note));

    struct eh_hit hit = hit_at(100 * MS, 38);
    cr_assert_eq(eh_sharpen_hit(sharpen, &hit, 200 * MS, 200 * MS), EH_SHARPENED);
    cr_assert_eq(hit.at_ns, 102 * MS);
    hit = hit_at(150 * MS, 40); /* was not timed: the one at 200 ms is another's */
    cr_assert_eq(eh_sharpen_hit(sharpen, &hit, 200 * MS, 200 * MS), EH_SHARPENED);
    cr_assert_eq(hit.at_ns, 150 * MS);
    hit = hit_at(200 * MS, 40);
    cr_assert_eq(eh_sharpen_hit(sharpen, &hit, 200 * MS, 200 * MS), EH_SHARPENED);
    cr_assert_eq(hit.at_ns, 201 * MS);
}

Test(midi_sharpen, a_time_is_used_once) {
    static const uint8_t notes[] = {40, 38, 38}; /* the hit of the first never came */
    for (int i = 0; i < 3; i++) {
        const struct eh_timed_note note = note_at(0, (i + 1) * MS, notes[i]);
        cr_assert(eh_sharpen_note(sharpen, &note));
    }
    for (int i = 0; i < 2; i++) {
        struct eh_hit hit = hit_at(0, 38);
        cr_assert_eq(eh_sharpen_hit(sharpen, &hit, INT64_MAX, 0), EH_SHARPENED);
        cr_assert_eq(hit.at_ns, (i + 2) * MS);
    }
}

Test(midi_sharpen, hits_never_go_backwards) {
    struct eh_timed_note note = note_at(0, 9 * MS, 38);
    cr_assert(eh_sharpen_note(sharpen, &note));
    struct eh_hit hit = hit_at(0, 38);
    cr_assert_eq(eh_sharpen_hit(sharpen, &hit, 0, 0), EH_SHARPENED);
    hit = hit_at(1 * MS, 38); /* stamped coarsely, before the exact time of the first */
    cr_assert_eq(eh_sharpen_hit(sharpen, &hit, INT64_MAX, 0), EH_SHARPENED);
    cr_assert_eq(hit.at_ns, 9 * MS);
}

Test(midi_sharpen, the_queue_is_full_at_its_documented_size) {
    const struct eh_timed_note note = note_at(0, 0, 38);
    for (int i = 0; i < EH_SHARPEN_ROOM; i++) {
        cr_assert(eh_sharpen_note(sharpen, &note));
    }
    cr_assert_not(eh_sharpen_note(sharpen, &note));
    struct eh_hit hit = hit_at(0, 38);
    cr_assert_eq(eh_sharpen_hit(sharpen, &hit, 0, 0), EH_SHARPENED);
    cr_assert(eh_sharpen_note(sharpen, &note));
}
