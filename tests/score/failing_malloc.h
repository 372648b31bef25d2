/* An allocator that fails when it is told to, and counts what is alive. Who links the library
 * failing_malloc has malloc and its kin led through it (the linker's --wrap). One thread. */
#ifndef TESTS_FAILING_MALLOC_H
#define TESTS_FAILING_MALLOC_H

/* Allocations that still succeed, then one fails; -1: all succeed, and after the failure again. */
extern long until_failure;

/* Pieces of memory that were allocated and not freed. */
extern long alive;

#endif
