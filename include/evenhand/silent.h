/* Bars without a click: which bars of a plan are silent.
 *
 * Count-ins always sound, so a stretch of silent bars never reaches from one pass into the next.
 * Pure; any thread. */
#ifndef EVENHAND_SILENT_H
#define EVENHAND_SILENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/plan.h"
#include "evenhand/status.h"
#include "evenhand/text.h"

enum eh_silent_kind {
    EH_SILENT_NONE = 0,    /* the click sounds throughout */
    EH_SILENT_EVERY_OTHER, /* the second, fourth ... bar of each pass */
    EH_SILENT_GROWING,     /* two bars sound, one is silent, two sound, two are silent, two, four,
                              two, eight; then one again. A stretch that does not fit into what is
                              left of a pass, with a bar after it to come back in, begins in the
                              next pass; one that fits into no pass is left out */
    EH_SILENT_BARS         /* written bars, whenever they come */
};

enum { EH_SILENT_RANGES_MAX = 32 };

/* What was asked for; all-zero: nothing is silent. */
struct eh_silent_ask {
    uint8_t kind; /* enum eh_silent_kind */
    size_t range_count;
    struct {
        int32_t first, last; /* written bars, both silent */
    } ranges[EH_SILENT_RANGES_MAX];
};

/* Reads "every-other", "growing" or bars ("4", "3-4,7-8"). An error says what would do. Errors:
 * EH_BAD_SYNTAX, EH_OUT_OF_RANGE (a range the wrong way round, bar 0, too many ranges). */
EH_MUST_USE enum eh_status eh_silent_read(struct eh_silent_ask *out_ask, const char *text,
                                          struct eh_error *error);

/* Fills SILENT, one a bar of PLAN. Errors: EH_OUT_OF_RANGE: a bar that PLAN does not have, no bar
 * left that sounds, or (unless nothing was asked for) none that is silent. */
EH_MUST_USE enum eh_status eh_silent_lay(const struct eh_silent_ask *ask,
                                         const struct eh_plan *plan, bool *silent,
                                         struct eh_error *error);

/* The silent ones of COUNT bars as they are kept with a run: their places in the order in which
 * they are played, passes and repeats included, from 1: "2,4,7-8"; "" where there are none. */
void eh_silent_print(const bool *silent, size_t count, struct eh_text *out);

/* Reads that back for the first COUNT bars: a run that was broken off is judged by its first ones.
 * Errors: EH_DAMAGED (never written by eh_silent_print). */
EH_MUST_USE enum eh_status eh_silent_parse(const char *text, bool *silent, size_t count,
                                           struct eh_error *error);

#endif
