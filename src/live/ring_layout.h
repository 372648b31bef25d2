/* How a ring lies in memory.
 *
 * The indices run freely and wrap at 2^32; written - read is the number of records inside. Each
 * side stores only its own index, with release, after its work on the record is done, and loads the
 * other's with acquire before it touches the record: so a record that is seen is seen whole, and a
 * slot that is reused has been read. The two indices stand on cache lines of their own, so that the
 * threads do not slow each other down. */
#ifndef EVENHAND_RING_LAYOUT_H
#define EVENHAND_RING_LAYOUT_H

#include <stdalign.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>

enum { EH_CACHE_LINE = 64 };

struct eh_ring {
    alignas(EH_CACHE_LINE) _Atomic uint32_t written; /* the pushing thread's */
    _Atomic uint32_t dropped;
    alignas(EH_CACHE_LINE) _Atomic uint32_t read;  /* the popping thread's */
    alignas(EH_CACHE_LINE) unsigned char *records; /* never changes */
    size_t record_bytes;
    uint32_t mask; /* capacity - 1 */
};

#endif
