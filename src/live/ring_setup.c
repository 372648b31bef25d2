/* Making and freeing a ring. */
#include <stdlib.h>

#include "evenhand/ring.h"
#include "ring_layout.h"

enum { RECORD_BYTES_MOST = 4096 };

static uint32_t power_of_two_from(size_t room) {
    uint32_t capacity = 1;
    while (capacity < room) {
        capacity *= 2;
    }
    return capacity;
}

enum eh_status eh_ring_new(struct eh_ring **out_ring, size_t record_bytes, size_t room) {
    *out_ring = NULL;
    if (record_bytes == 0 || record_bytes > RECORD_BYTES_MOST || room == 0 || room > EH_RING_MOST) {
        return EH_OUT_OF_RANGE;
    }
    const uint32_t capacity = power_of_two_from(room);
    /* sizeof is a multiple of the alignment, as aligned_alloc wants it. */
    struct eh_ring *ring = aligned_alloc(EH_CACHE_LINE, sizeof *ring);
    unsigned char *records = calloc(capacity, record_bytes);
    if (ring == NULL || records == NULL) {
        free(ring);
        free(records);
        return EH_NO_MEMORY;
    }
    atomic_init(&ring->written, 0);
    atomic_init(&ring->dropped, 0);
    atomic_init(&ring->read, 0);
    ring->records = records;
    ring->record_bytes = record_bytes;
    ring->mask = capacity - 1;
    *out_ring = ring;
    return EH_OK;
}

void eh_ring_free(struct eh_ring *ring) {
    if (ring != NULL) {
        free(ring->records);
        free(ring);
    }
}
