/* Many climbs by many learners, counted. */
#ifndef TESTS_LADDER_CLIMBS_H
#define TESTS_LADDER_CLIMBS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct climb_setting {
    double from, to, step;
    int32_t in_a_row;
};

enum { CLIMB_SETTINGS = 6 };
extern const struct climb_setting climb_settings[CLIMB_SETTINGS];

struct climbs {
    int ladder_near; /* the highest tempo passed lies within one step of the truth */
    int held_near;   /* so does the estimate */
    int named;       /* what broke first is the learner's fault: aspect, side, direction */
    int covered;     /* the truth lies in the estimate's interval */
    double width;    /* of the intervals, as shares of the estimates, summed */
    int passes, most, most_of_nine; /* summed; in the longest; in all but a tenth */
};

/* Each run another learner: another fault, another tempo within the ladder, a pad of another
 * error. The truth is the tempo that he was made with; of a gradual learner that at which three of
 * four passes are clean. */
void climbs_run(struct climbs *out, const struct climb_setting *setting, bool gradual, int runs);

#endif
