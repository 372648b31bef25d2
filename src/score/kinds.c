/* Which strokes are doubles. The rule stands at enum eh_kind in evenhand/exercise.h. */
#include "unfold.h"

/* Two strokes this near are a double in any exercise ... */
#define ANY_DOUBLE (EH_TICKS_PER_QUARTER / 4)
/* ... and two this near where the exercise has nothing nearer. */
#define SLOW_DOUBLE (EH_TICKS_PER_QUARTER / 2)

/* A drag before the second stroke: the other hand strikes twice between the two. */
enum { DRAG = 2 };

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

/* How far apart the strokes of a double may be: one motion makes both, and no hand motion goes at
 * half of the exercise's pace. */
static eh_ticks widest_double(const struct eh_stroke *strokes, size_t count) {
    eh_ticks nearest = SLOW_DOUBLE;
    size_t i = next_main(strokes, count, 0);
    while (i < count) {
        const size_t next = next_main(strokes, count, i + 1);
        if (next < count && strokes[next].at - strokes[i].at < nearest) {
            nearest = strokes[next].at - strokes[i].at;
        }
        i = next;
    }
    return nearest > ANY_DOUBLE ? nearest : ANY_DOUBLE;
}

/* FIRST and SECOND are all of one hand's run; AFTER is the main stroke that follows, or null. */
static bool is_double(const struct eh_stroke *first, const struct eh_stroke *second,
                      const struct eh_stroke *after, eh_ticks widest) {
    if (first->kind == EH_KIND_BUZZ || second->kind == EH_KIND_BUZZ ||
        second->grace_count >= DRAG) {
        return false;
    }
    const eh_ticks gap = second->at - first->at;
    return gap <= widest && (after == NULL || gap <= after->at - second->at);
}

void score_mark_kinds(struct eh_stroke *strokes, size_t count) {
    const eh_ticks widest = widest_double(strokes, count);
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
        const struct eh_stroke *next = after < count ? &strokes[after] : NULL;
        if (run == 2 && is_double(&strokes[first], &strokes[second], next, widest)) {
            strokes[first].kind = EH_KIND_FIRST;
            strokes[second].kind = EH_KIND_SECOND;
        }
        first = after;
    }
}
