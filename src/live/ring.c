/* The two sides of a ring. Runs on callback threads: everything here is RT_SAFE. */
#include "evenhand/ring.h"

#include <string.h>

#include "ring_layout.h"

static unsigned char *slot(const struct eh_ring *ring, uint32_t index) {
    return ring->records + (size_t)(index & ring->mask) * ring->record_bytes;
}

bool eh_ring_push(struct eh_ring *ring, const void *record) EH_RT_SAFE {
    const uint32_t written = atomic_load_explicit(&ring->written, memory_order_relaxed);
    const uint32_t read = atomic_load_explicit(&ring->read, memory_order_acquire);
    if (written - read > ring->mask) {
        atomic_fetch_add_explicit(&ring->dropped, 1, memory_order_relaxed);
        return false;
    }
    memcpy(slot(ring, written), record, ring->record_bytes);
    atomic_store_explicit(&ring->written, written + 1, memory_order_release);
    return true;
}

uint32_t eh_ring_space(const struct eh_ring *ring) EH_RT_SAFE {
    const uint32_t written = atomic_load_explicit(&ring->written, memory_order_relaxed);
    const uint32_t read = atomic_load_explicit(&ring->read, memory_order_acquire);
    return ring->mask + 1 - (written - read);
}

const void *eh_ring_peek(const struct eh_ring *ring) EH_RT_SAFE {
    const uint32_t read = atomic_load_explicit(&ring->read, memory_order_relaxed);
    const uint32_t written = atomic_load_explicit(&ring->written, memory_order_acquire);
    return written == read ? NULL : slot(ring, read);
}

bool eh_ring_pop(struct eh_ring *ring, void *out_record) EH_RT_SAFE {
    const void *record = eh_ring_peek(ring);
    if (record == NULL) {
        return false;
    }
    memcpy(out_record, record, ring->record_bytes);
    const uint32_t read = atomic_load_explicit(&ring->read, memory_order_relaxed);
    atomic_store_explicit(&ring->read, read + 1, memory_order_release);
    return true;
}

uint32_t eh_ring_dropped(const struct eh_ring *ring) EH_RT_SAFE {
    return atomic_load_explicit(&ring->dropped, memory_order_relaxed);
}
