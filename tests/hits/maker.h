/* Small MIDI files for tests, written as hex the way the specification prints them. */
#ifndef EVENHAND_TESTS_MAKER_H
#define EVENHAND_TESTS_MAKER_H

#include <stddef.h>
#include <stdint.h>

#include "evenhand/smf.h"

struct maker {
    uint8_t data[1 << 16];
    size_t length;
};

/* Appends the bytes that HEX spells; blanks are passed over. */
void make_hex(struct maker *made, const char *hex);

/* Starts anew with a header. */
void make_header(struct maker *made, int format, int tracks, int division);

/* Appends a track chunk with these events; End of Track is added. */
void make_track(struct maker *made, const char *events);

/* Reads what was made; fails the test when it is refused. */
struct eh_take make_take(const struct maker *made);

/* A format 0 file of one track, read. */
struct eh_take make_take_of(int division, const char *events);

/* The status of reading, nothing kept. */
enum eh_status make_status(const struct maker *made, struct eh_error *out_error);

#endif
