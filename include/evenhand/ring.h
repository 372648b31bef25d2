/* A ring of fixed-size records from one thread to one other.
 *
 * Exactly one thread pushes and exactly one thread pops; neither ever waits. A push into a full
 * ring is refused and counted, so that the reader can say that something was lost. */
#ifndef EVENHAND_RING_H
#define EVENHAND_RING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/clock.h"
#include "evenhand/status.h"

/* Most records a ring can hold. */
#define EH_RING_MOST ((uint32_t)1 << 24)

struct eh_ring; /* opaque */

/* A ring for at least ROOM records (1 .. EH_RING_MOST, rounded up to a power of two) of
 * RECORD_BYTES (1 .. 4096) each. Errors: EH_NO_MEMORY, EH_OUT_OF_RANGE. */
EH_MUST_USE enum eh_status eh_ring_new(struct eh_ring **out_ring, size_t record_bytes, size_t room);

/* NULL is accepted. Neither side may be using it any more. */
void eh_ring_free(struct eh_ring *ring);

/* The pushing thread only; RT_SAFE. Copies the record. False when the ring is full: the record is
 * lost and counted. */
bool eh_ring_push(struct eh_ring *ring, const void *record) EH_RT_SAFE;

/* The pushing thread only; RT_SAFE. How many pushes will succeed at least. */
uint32_t eh_ring_space(const struct eh_ring *ring) EH_RT_SAFE;

/* The popping thread only; RT_SAFE. False when there is nothing. */
bool eh_ring_pop(struct eh_ring *ring, void *out_record) EH_RT_SAFE;

/* The popping thread only; RT_SAFE. A view of the oldest record, NULL when there is none; good
 * until the next pop. */
const void *eh_ring_peek(const struct eh_ring *ring) EH_RT_SAFE;

/* Any thread; RT_SAFE. How many records were lost to a full ring. */
uint32_t eh_ring_dropped(const struct eh_ring *ring) EH_RT_SAFE;

#endif
