/* Numbers as text, the same in every locale. */
#ifndef EVENHAND_REPORT_NUMBER_H
#define EVENHAND_REPORT_NUMBER_H

#include <stdbool.h>
#include <stdint.h>

#include "evenhand/text.h"
#include "evenhand/time.h"

enum { REPORT_NUMBER_TEXT = 32 };

/* A number on its way into printf: report_fixed(1.5, 1).text. */
struct report_number {
    char text[REPORT_NUMBER_TEXT];
};

/* Whether VALUE can be written: finite, and small enough (below 10^12) for its digits to be exact.
 * NAN stands for "unknown" all through the judgement. */
bool report_known(double value);

/* VALUE with DECIMALS (0 .. 3 for any known value; more while 15 digits suffice), ties away from
 * zero, never "-0". "?" for what is not known. */
struct report_number report_fixed(double value, int decimals);

/* A tempo: one decimal, or none where it is a whole number (a MIDI file's whole microseconds miss
 * one by less than 0.005 up to 400 to the quarter). */
struct report_number report_bpm(double bpm);

/* The same with a "+" before what is above zero. */
struct report_number report_signed(double value, int decimals);

/* Nanoseconds as milliseconds with three decimals, exact to the rounding. */
struct report_number report_ms(int64_t ns);

/* A velocity on the 16-bit scale as 1 .. 127, with its exact fraction where it has one. */
struct report_number report_velocity(uint16_t velocity);

/* A place in a bar in quarter notes from its bar line, counted from 1, as an exact fraction in
 * lowest terms: "1", "9/8", "5/4". IN_BAR >= 0. */
struct report_number report_beat_fraction(eh_ticks in_bar);

#endif
