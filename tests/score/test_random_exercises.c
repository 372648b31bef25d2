/* Random exercises, built by the builder that every reader uses: printing and parsing must give
 * them back. */
#include <criterion/criterion.h>
#include <stdio.h>

#include "describe.h"
#include "random_exercise.h"

enum { EXERCISES = 1000 };

Test(score_random, printing_and_parsing_give_every_exercise_back) {
    size_t strokes = 0;
    for (uint64_t seed = 1; seed <= EXERCISES; seed++) {
        char name[32];
        size_t count = 0;
        struct eh_exercise *exercise = random_exercise(seed);
        (void)snprintf(name, sizeof name, "seed %d", (int)seed);
        expect_round_trip(name, exercise);
        (void)eh_exercise_strokes(exercise, &count);
        strokes += count;
        eh_exercise_free(exercise);
    }
    cr_assert_gt(strokes, 50 * EXERCISES); /* the generator does its work */
}

/* What must hold of the strokes of any exercise. */
static void expect_sound(const struct eh_exercise *exercise) {
    size_t count = 0;
    size_t bar_count = 0;
    size_t hairpin_count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    const struct eh_bar *bars = eh_exercise_bars(exercise, &bar_count);
    const struct eh_hairpin *hairpins = eh_exercise_hairpins(exercise, &hairpin_count);
    for (size_t i = 0; i < count; i++) {
        const struct eh_stroke *s = &strokes[i];
        const struct eh_bar *bar = &bars[s->played_bar];
        cr_assert(i == 0 || s->at >= s[-1].at);
        cr_assert_eq(s->at, bar->at + s->in_bar);
        cr_assert(s->in_bar >= 0 && s->in_bar < bar->length);
        cr_assert_eq(s->bar, bar->written);
        cr_assert_eq(s->kind == EH_KIND_GRACE, s->grace_rank > 0);
        cr_assert(s->grace_rank <= 1 || s[1].grace_rank == s->grace_rank - 1);
        cr_assert(s->grace_rank != 1 || (s[1].grace_rank == 0 && s[1].at == s->at));
        cr_assert(s->hairpin >= -1 && s->hairpin < (int)hairpin_count);
        if (s->hairpin < 0) {
            cr_assert_eq(s->step_milli, s->dynamic * 1000);
        } else {
            const struct eh_hairpin *h = &hairpins[s->hairpin];
            cr_assert(h->from <= s->at && s->at < h->to);
            cr_assert_eq(s->dynamic, h->from_dynamic);
        }
        if (s->kind == EH_KIND_FIRST) {
            size_t next = i + 1;
            while (strokes[next].grace_rank > 0) {
                next++;
            }
            cr_assert_eq(strokes[next].kind, EH_KIND_SECOND);
            cr_assert_eq(strokes[next].hand, s->hand);
            cr_assert_leq(strokes[next].at - s->at, EH_TICKS_PER_QUARTER / 2);
        }
    }
}

Test(score_random, strokes_bars_and_hairpins_agree) {
    for (uint64_t seed = 1; seed <= EXERCISES; seed++) {
        struct eh_exercise *exercise = random_exercise(seed);
        expect_sound(exercise);
        eh_exercise_free(exercise);
    }
}
