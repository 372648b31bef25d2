#include "shrink.h"

#include <string.h>

/* A failure need not be the smallest there is; it must not take minutes either. */
enum { TRIALS = 400 };

static bool fails(const struct property *property, const struct sample *sample) {
    struct eh_text why = {0};
    const bool holds = property->holds(sample, &why);
    eh_text_deinit(&why);
    return !holds;
}

static void take_out(struct sample *s, size_t from, size_t count) {
    struct eh_hit *hits = s->take.hits;
    memmove(hits + from, hits + from + count, (s->take.count - from - count) * sizeof *hits);
    s->take.count -= count;
}

/* Tries to do without each row of COUNT hits; true when at least one went. */
static bool drop_rows(const struct property *property, struct sample *sample, size_t count,
                      int *trials) {
    bool dropped = false;
    for (size_t from = 0; from + count <= sample->take.count && *trials > 0; (*trials)--) {
        struct sample smaller;
        sample_copy(&smaller, sample);
        take_out(&smaller, from, count);
        if (fails(property, &smaller)) {
            take_out(sample, from, count);
            dropped = true;
        } else {
            from += count;
        }
        sample_deinit(&smaller);
    }
    return dropped;
}

static void drop_bars(const struct property *property, struct sample *sample) {
    struct eh_plan_request *plan = &sample->request.plan;
    const struct eh_plan_request whole = *plan;
    for (int32_t last = 1; last < eh_exercise_bar_count(sample->exercise); last++) {
        plan->last_bar = last;
        if (last >= whole.first_bar && (whole.last_bar == 0 || last < whole.last_bar) &&
            fails(property, sample)) {
            return;
        }
    }
    *plan = whole;
}

void shrink(const struct property *property, struct sample *sample) {
    int trials = TRIALS;
    drop_bars(property, sample);
    for (size_t count = sample->take.count / 2; count > 0 && trials > 0; count /= 2) {
        while (drop_rows(property, sample, count, &trials) && trials > 0 && count == 1) {
        }
    }
}
