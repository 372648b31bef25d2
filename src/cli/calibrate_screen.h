/* What the player sees while calibrating: what is to be played now, the beat, what was heard. */
#ifndef EVENHAND_CLI_CALIBRATE_SCREEN_H
#define EVENHAND_CLI_CALIBRATE_SCREEN_H

#include "evenhand/calibrate.h"
#include "evenhand/report.h"

struct calibrate_screen {
    struct eh_report_look look;
    bool terminal;
    bool beat_drawn;
    double last_velocity; /* 0: none yet in this step */
};

struct calibrate_screen calibrate_screen_make(void);

/* Tempo, length, where hits and click come from, the caution. */
void calibrate_screen_begin(const struct calibrate_screen *screen,
                            const struct eh_calibrate_course *course, const char *source,
                            const char *click);

/* What comes. */
void calibrate_screen_step(struct calibrate_screen *screen,
                           const struct eh_calibrate_course *course,
                           const struct eh_calibrate_event *event);

/* What was heard of TAKE; the sound is LAG_NS behind its schedule. */
void calibrate_screen_heard(struct calibrate_screen *screen,
                            const struct eh_calibrate_course *course,
                            const struct eh_calibrate_event *event, const struct eh_take *take,
                            int64_t lag_ns);

/* The beat, over the one before; on a terminal only. */
void calibrate_screen_beat(struct calibrate_screen *screen,
                           const struct eh_calibrate_course *course, int32_t beat);

/* Leaves the last line alone. */
void calibrate_screen_end(struct calibrate_screen *screen);

#endif
