/* From frames of the sound stream to clock time. Pure; RT_SAFE.
 *
 * Each callback gives one reading: "frame F will sound at T". Readings are jittered by the wake-up
 * of the callback's thread, while the card's clock itself runs evenly. A delay-locked loop of
 * second order (F. Adriaensen, "Using a DLL to filter time", Linux Audio Conference 2005) follows
 * the card and smooths the jitter. A gap in the stream moves all later frames: then the loop starts
 * anew. */
#ifndef EVENHAND_CLICK_TIME_H
#define EVENHAND_CLICK_TIME_H

#include <stdbool.h>
#include <stdint.h>

#include "evenhand/clock.h"

struct eh_click_time {
    double ns_per_frame; /* followed */
    double nominal_ns_per_frame;
    int64_t base_ns; /* where the loop began; so that a double holds the rest exactly */
    int64_t last_frame;
    double last_ns; /* when last_frame sounds, after base_ns */
    int readings;
    int strangers; /* readings in a row that do not fit */
    bool running;
};

void eh_click_time_init(struct eh_click_time *time, double rate) EH_RT_SAFE;

/* A reading. GAP: the driver says that the stream was interrupted. Returns true when the loop
 * started anew because of a gap, told or seen. */
bool eh_click_time_read(struct eh_click_time *time, int64_t frame, int64_t at_ns,
                        bool gap) EH_RT_SAFE;

/* When a frame sounds, by the readings so far (0 before the first). */
int64_t eh_click_time_at(const struct eh_click_time *time, int64_t frame) EH_RT_SAFE;

#endif
