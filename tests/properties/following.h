/* The follower on a sample, fed as a live run feeds it. */
#ifndef TESTS_PROPERTIES_FOLLOWING_H
#define TESTS_PROPERTIES_FOLLOWING_H

#include "chance.h"
#include "sample.h"

struct following {
    const struct sample *sample;
    struct eh_plan plan;
    struct eh_match *matches;
    struct eh_fate *fates;
    struct eh_course *courses;
    size_t course_count;
    double cost;
    struct eh_follower *follower; /* until following_end */
};

/* False where the bars asked for hold no stroke. The plan is laid where the run was played. */
bool following_begin(struct following *out, const struct sample *sample);
void following_end(struct following *f); /* finishes the follower, keeps its courses */
void following_deinit(struct following *f);

/* Appends the document that this matching gives. */
void following_json(const struct following *f, struct eh_text *out);

#endif
