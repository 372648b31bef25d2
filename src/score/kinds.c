/* Which strokes are doubles. The rule stands at enum eh_kind in evenhand/exercise.h. */
#include "unfold.h"

/* The furthest apart that two strokes may be and still be a double. */
#define WIDEST_DOUBLE (EH_TICKS_PER_QUARTER / 2)

static bool is_main(const struct eh_stroke *stroke) {
    return stroke->grace_rank == 0;
}

/* The main stroke at or after INDEX, or COUNT. */
static size_t next_main(const struct eh_stroke *strokes, size_t count, size_t index) {
    while (index < count && !is_main(&strokes[index])) {
        index++;
    }
    return index;
}

/* FIRST and SECOND are all of one hand's run; AFTER is the main stroke that follows, or COUNT. */
static bool is_double(const struct eh_stroke *strokes, size_t count, size_t first, size_t second,
                      size_t after) {
    if (strokes[first].kind == EH_KIND_BUZZ || strokes[second].kind == EH_KIND_BUZZ) {
        return false;
    }
    const eh_ticks gap = strokes[second].at - strokes[first].at;
    return gap <= WIDEST_DOUBLE &&
           (after == count || gap <= strokes[after].at - strokes[second].at);
}

void score_mark_kinds(struct eh_stroke *strokes, size_t count) {
    size_t first = next_main(strokes, count, 0);
    while (first < count) {
        size_t run = 0;
        size_t second = first;
        size_t after = first;
        while (after < count && strokes[after].hand == strokes[first].hand) {
            run++;
            second = run == 2 ? after : second;
            after = next_main(strokes, count, after + 1);
        }
        if (run == 2 && is_double(strokes, count, first, second, after)) {
            strokes[first].kind = EH_KIND_FIRST;
            strokes[second].kind = EH_KIND_SECOND;
        }
        first = after;
    }
}
