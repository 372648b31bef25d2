/* Standard MIDI Files, in and out (Standard MIDI Files 1.0 and the MIDI 1.0 specification, MIDI
 * Manufacturers Association; High Resolution Velocity Prefix: CA-031).
 *
 * A pure pair of functions over bytes: callers read and write the files. What is read, what is
 * tolerated and what is refused stands in docs/midi-files.md. */
#ifndef EVENHAND_SMF_H
#define EVENHAND_SMF_H

#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/status.h"
#include "evenhand/text.h"

/* Longer files are refused: 16 MiB are over five million notes, days of playing. Memory needed
 * stays below 20 times the file's length. */
#define EH_SMF_LONGEST ((size_t)16 * 1024 * 1024)

/* Events later than this are refused, and no longer take is written. */
#define EH_SMF_LONGEST_NS (INT64_C(24) * 3600 * EH_NS_PER_S)

/* The shortest and longest quarter note of a tempo event that is accepted, in microseconds:
 * 60 000 a minute, and what three bytes hold (3.6 a minute). */
#define EH_SMF_SHORTEST_QUARTER_US 1000
#define EH_SMF_LONGEST_QUARTER_US 0xFFFFFF

/* Ticks to a quarter note in the files that are written: the ticks of evenhand/time.h, so that
 * every musical position is kept exactly. One tick is 24.8 us at 120 to the minute. */
#define EH_SMF_DIVISION EH_TICKS_PER_QUARTER

/* Reads a file of format 0 or 1 (also inside a RIFF "RMID" wrapper) from LENGTH bytes.
 *
 * Every note-on with velocity > 0, of any note on any channel, becomes a hit: the caller keeps the
 * pad's own. Hits stand in order of ticks; equal ticks in order of the file, tracks of format 1 one
 * after the other. Time 0 and tick 0 are the file's beginning. Hit times follow from the file's
 * ticks by integer arithmetic and are rounded once, to the nearest nanosecond. The click is the
 * file's tempo map (120 to the quarter where it says nothing), the metres are its time signatures
 * (4/4 where it says nothing). resolution_ns is one tick of the file at the slowest tempo in force
 * while there are hits (without hits: in the file), rounded up.
 *
 * SOURCE is copied for display (cut to fit).
 * OUT_TAKE is the caller's to deinit; it is all zero after a failure.
 *
 * Errors, with the byte offset in ERROR: EH_BAD_FORMAT, EH_TOO_LARGE (a limit above),
 * EH_NO_MEMORY (offset -1). A file without any hit is no error. Any thread. */
EH_MUST_USE enum eh_status eh_smf_read(struct eh_take *out_take, const uint8_t *bytes,
                                       size_t length, const char *source, struct eh_error *error);

/* Appends a file of format 1 to OUT: a first track with TITLE, tempos and metres, a second one with
 * the hits on channel 10, each with its note, a length of 50 ms (less where the same note comes
 * again sooner) and its velocity, preceded by controller 88 where the velocity has a fraction.
 *
 * The file's tick 0 is the take's tick eh_smf_origin(TAKE). Hits keep their distance in time from
 * that tick within half a tick of the file (at 120 to the minute 12.4 us). Tempos are rounded to
 * the whole microsecond a quarter, all the format can say, so the click of the file is off by at
 * most 0.5 us a quarter. Velocities keep 14 bits. The channel is not kept.
 *
 * This is also the way to write a row of hits that did not come from a pad: eh_take_init,
 * eh_take_add for each, eh_smf_write.
 *
 * TITLE may be NULL. OUT is left as it was after a failure, except EH_NO_MEMORY.
 * Errors: EH_NO_MEMORY, EH_OUT_OF_RANGE (a tempo outside the limits above), EH_TOO_LARGE (longer
 * than EH_SMF_LONGEST_NS). Any thread. */
EH_MUST_USE enum eh_status eh_smf_write(struct eh_text *out, const struct eh_take *take,
                                        const char *title, struct eh_error *error);

/* The take's tick that becomes tick 0 of a written file: 0, or where something (a hit, the first
 * tempo, the first metre) lies before 0 the beginning of the bar that holds the earliest of them.
 * To come from the read file back to the take's own values, add this to ticks, and
 * eh_tempo_map_ns(&take->click, eh_smf_origin(take)) to times. */
eh_ticks eh_smf_origin(const struct eh_take *take);

#endif
