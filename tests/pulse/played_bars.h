/* Bars of strokes played exactly as a table of offsets says, for the tests of the pulse. */
#ifndef TESTS_PLAYED_BARS_H
#define TESTS_PLAYED_BARS_H

#include "evenhand/pulse.h"

struct played_bars {
    struct eh_exercise *exercise;
    struct eh_plan plan;
    struct eh_hit *hits;      /* one a due stroke */
    struct eh_match *matches; /* likewise */
    bool *silent;             /* one a bar */
    struct eh_pulse pulse;
};

/* BARS at 100 quarters a minute (a beat lasts 600 ms, a bar 2400), PASSES times with a bar between;
 * SILENT as eh_silent_parse has it. Everything is played on the click. */
struct played_bars played_bars(const char *bars, int passes, const char *silent);

/* Moves the strokes that are due from FROM_MS to before TO_MS by START_MS and by SLOPE ms for each
 * second since FROM_MS. */
void played_move(struct played_bars *played, double from_ms, double to_ms, double start_ms,
                 double slope);

/* Nothing was heard in that time. */
void played_miss(struct played_bars *played, double from_ms, double to_ms);

/* Measures; ends the test when that fails. */
void played_measure(struct played_bars *played);

void played_deinit(struct played_bars *played);

#endif
