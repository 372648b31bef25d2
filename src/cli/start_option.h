/* --start BAR[:BEAT], as a position in a take. */
#ifndef EVENHAND_CLI_START_OPTION_H
#define EVENHAND_CLI_START_OPTION_H

#include <stdbool.h>

#include "evenhand/hit.h"

struct start_option {
    int bar;           /* from 1 */
    eh_ticks into_bar; /* >= 0 */
};

enum { START_BAR_MAX = 1000000 };

/* Reads "5", "5:2", "5:5/2" or "5:2.5": the bar from 1 and the beat, which counts quarter notes
 * from the bar line, from 1, as a document's beats do. False: it is none. */
bool start_option_read(const char *text, struct start_option *out_start);

/* The tick of the take at which it lies; false when the bar has no such beat. */
bool start_option_place(const struct start_option *start, const struct eh_take *take,
                        eh_ticks *out_at);

#endif
