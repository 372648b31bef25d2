/* Two threads pass numbered records through a ring until all have arrived, in order and whole. A
 * plain main, so that it also runs under the thread sanitizer. */
#include <inttypes.h>
#include <pthread.h>
#include <sched.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/ring.h"
#include "ring_layout.h"

enum { ROOM = 60, CAPACITY = 64, RECORDS = 300000 };

struct record {
    uint32_t number;
    uint32_t inverse; /* ~number: a torn record shows */
    uint32_t filler[7];
};

#define CHECK(what)                                                                                \
    do {                                                                                           \
        if (!(what)) {                                                                             \
            fprintf(stderr, "%s:%d: %s does not hold\n", __FILE__, __LINE__, #what);               \
            exit(1);                                                                               \
        }                                                                                          \
    } while (0)

static struct eh_ring *new_ring(void) {
    struct eh_ring *ring;
    CHECK(eh_ring_new(&ring, sizeof(struct record), ROOM) == EH_OK);
    return ring;
}

static void *push_all(void *argument) {
    struct eh_ring *ring = argument;
    for (uint32_t i = 0; i < RECORDS; i++) {
        const struct record record = {.number = i, .inverse = ~i, .filler = {i, i, i, i, i, i, i}};
        while (eh_ring_space(ring) == 0) {
            sched_yield();
        }
        CHECK(eh_ring_push(ring, &record));
    }
    return NULL;
}

static void all_records_arrive_whole_and_in_order(uint32_t first_index) {
    struct eh_ring *ring = new_ring();
    /* Also across the wrap of the free-running indices. */
    atomic_store(&ring->written, first_index);
    atomic_store(&ring->read, first_index);
    pthread_t thread;
    CHECK(pthread_create(&thread, NULL, push_all, ring) == 0);
    for (uint32_t expected = 0; expected < RECORDS;) {
        struct record record;
        if (!eh_ring_pop(ring, &record)) {
            sched_yield();
            continue;
        }
        CHECK(record.number == expected && record.inverse == ~expected);
        for (int i = 0; i < 7; i++) {
            CHECK(record.filler[i] == expected);
        }
        expected++;
    }
    pthread_join(thread, NULL);
    CHECK(eh_ring_dropped(ring) == 0);
    eh_ring_free(ring);
}

static void a_full_ring_refuses_and_counts(void) {
    struct eh_ring *ring = new_ring();
    struct record record = {0};
    CHECK(eh_ring_peek(ring) == NULL && !eh_ring_pop(ring, &record));
    for (uint32_t i = 0; i < CAPACITY; i++) {
        record.number = i;
        CHECK(eh_ring_space(ring) == CAPACITY - i);
        CHECK(eh_ring_push(ring, &record));
    }
    CHECK(!eh_ring_push(ring, &record) && !eh_ring_push(ring, &record));
    CHECK(eh_ring_dropped(ring) == 2 && eh_ring_space(ring) == 0);
    CHECK(((const struct record *)eh_ring_peek(ring))->number == 0);
    CHECK(eh_ring_pop(ring, &record) && record.number == 0);
    CHECK(eh_ring_push(ring, &record) && !eh_ring_push(ring, &record));
    eh_ring_free(ring);
}

static void sizes_are_checked(void) {
    struct eh_ring *ring;
    CHECK(eh_ring_new(&ring, 0, 1) == EH_OUT_OF_RANGE && ring == NULL);
    CHECK(eh_ring_new(&ring, 4097, 1) == EH_OUT_OF_RANGE);
    CHECK(eh_ring_new(&ring, 1, 0) == EH_OUT_OF_RANGE);
    CHECK(eh_ring_new(&ring, 1, (size_t)EH_RING_MOST + 1) == EH_OUT_OF_RANGE);
    CHECK(eh_ring_new(&ring, 1, EH_RING_MOST) == EH_OK);
    eh_ring_free(ring);
    eh_ring_free(NULL);
}

static void the_indices_stand_on_lines_of_their_own(void) {
    CHECK(offsetof(struct eh_ring, read) - offsetof(struct eh_ring, written) >= 64);
    CHECK(offsetof(struct eh_ring, records) - offsetof(struct eh_ring, read) >= 64);
    struct eh_ring *ring = new_ring();
    CHECK((uintptr_t)ring % 64 == 0);
    eh_ring_free(ring);
}

int main(void) {
    sizes_are_checked();
    the_indices_stand_on_lines_of_their_own();
    a_full_ring_refuses_and_counts();
    all_records_arrive_whole_and_in_order(0);
    all_records_arrive_whole_and_in_order(UINT32_MAX - RECORDS / 2);
    puts("ring: all records arrived");
    return 0;
}
