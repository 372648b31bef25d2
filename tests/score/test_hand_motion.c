#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "evenhand/hand_motion.h"
#include "random_exercise.h"

static struct eh_exercise *read(const char *title, const char *bars) {
    char text[2000];
    struct eh_error error = {0};
    struct eh_exercise *exercise = NULL;
    (void)snprintf(text, sizeof text, "%s\nstyle: concert\ntempo: 60 to 100\nmetre: 2/4\n%s\n",
                   title, bars);
    cr_assert_eq(eh_exercise_parse(&exercise, text, strlen(text), &error), EH_OK, "%s: %s", bars,
                 error.text);
    return exercise;
}

/* Typed by hand from the rule in hand_motion.h. */
static const struct {
    const char *written, *motion;
} rows[] = {
    /* the five-stroke roll: two diddles and a tap */
    {"| 16:R/L/ 8:R> 16:L/R/ 8:L> |", "| 16:RL 8:R> 16:LR 8:L> |"},
    {"|: mf 16:R/L/R/L/ 8:R> - :|x3", "|: mf 16:RLRL 8:R> - :|x3"},
    /* on a triplet and a sextuplet motion */
    {"| 8:3[R/L/R/] 8:L - |", "| 8:3[RLR] 8:L - |"},
    {"| 16:6[R/L/R/L/R/L/] 4:R> |", "| 16:6[RLRLRL] 4:R> |"},
    /* presses, dynamics, hairpins */
    {"| p cresc 8:RzLzRzLz | f 2:R |", "| p cresc 8:RLRL | f 2:R |"},
    {"| 4:Rz 8:_ Lz |", "| 4:R 8:_ L |"},
    /* grace notes stay out, also where there is no roll */
    {"| 4:lR 16:R/L/ 8:llR |", "| 4:R 16:RL 8:R |"},
    {"| 16:lR>/ rL/ 8:R 4:R |", "| 16:R> L 8:R 4:R |"},
    /* a roll written out as strokes; the second accent goes with its stroke */
    {"| 16:RRLL RRLL |", "| 16:R_L_ R_L_ |"},
    {"| 16:R>RLL RRL>L |", "| 16:R>_L_ R_L>_ |"},
    {"| 16:6[RRLLRR] 6[LLRRLL] |", "| 16:6[R_L_R_] 6[L_R_L_] |"},
    /* fewer than four doubles are a figure */
    {"| 16:R>LRR L>RLL | 16:R/L/ 8:R 4:L |", "| 16:R>LRR L>RLL | 16:RL 8:R 4:L |"},
    {"| 16:RRLL RRLR | 16:R/L/ 8:R 4:L |", "| 16:RRLL RRLR | 16:RL 8:R 4:L |"},
    /* three and more of one hand are not doubles */
    {"| 8:R// 16:L/R/ 4:L |", "| 8:R// 16:LR 4:L |"},
    /* endings, metres, pick-ups */
    {"| pickup 16:R/L/ |: 8:R> 4.:L | 1st 2:R :| 2nd 3/4 4:Lz R - |",
     "| pickup 16:RL |: 8:R> 4.:L | 1st 2:R :| 2nd 3/4 4:L R - |"},
};

Test(hand_motion, is_what_the_table_says) {
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_exercise *written = read("title: T", rows[i].written);
        struct eh_exercise *expected = read("title: T (hand motion)", rows[i].motion);
        struct eh_exercise *motion = NULL;
        struct eh_text text = {0};
        struct eh_error error = {0};
        cr_expect(eh_exercise_has_rolls(written, 0, 0), "%s", rows[i].written);
        cr_assert_eq(eh_exercise_hand_motion(&motion, written, &error), EH_OK, "%s: %s",
                     rows[i].written, error.text);
        cr_assert_eq(eh_exercise_print(motion, &text), EH_OK);
        cr_expect(eh_exercise_equal(motion, expected), "%s became\n%s", rows[i].written,
                  eh_text_string(&text));
        eh_text_deinit(&text);
        eh_exercise_free(motion);
        eh_exercise_free(expected);
        eh_exercise_free(written);
    }
}

Test(hand_motion, refuses_an_exercise_without_rolls) {
    static const char *const none[] = {"| 16:RLRL RLRL |", "| 16:R>LRR L>RLL |", "| 4:lR rrL |",
                                       "| 16:RRLL 4:R |", "| 32:R-R-L-L-R-R-L-L- |"};
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        struct eh_exercise *exercise = read("", none[i]);
        struct eh_exercise *motion = NULL;
        struct eh_error error = {0};
        cr_expect_not(eh_exercise_has_rolls(exercise, 0, 0), "%s", none[i]);
        cr_expect_eq(eh_exercise_hand_motion(&motion, exercise, &error), EH_EMPTY);
        cr_expect_null(motion);
        cr_expect(strstr(error.text, "practise it as it is written") != NULL, "%s", error.text);
        eh_exercise_free(exercise);
    }
}

Test(hand_motion, looks_for_rolls_in_the_bars_that_are_asked_for) {
    struct eh_exercise *e = read("", "| 16:RLRL 4:R | 16:R/L/ 8:R 4:L | 2:L | 16:RRLL RRLL |");
    cr_expect_not(eh_exercise_has_rolls(e, 1, 1));
    cr_expect(eh_exercise_has_rolls(e, 1, 2));
    cr_expect(eh_exercise_has_rolls(e, 2, 2));
    cr_expect_not(eh_exercise_has_rolls(e, 3, 3));
    cr_expect(eh_exercise_has_rolls(e, 3, 0));
    cr_expect(eh_exercise_has_rolls(e, 4, 4));
    eh_exercise_free(e);
}

static void expect_sound(uint64_t seed, const struct eh_exercise *written,
                         const struct eh_exercise *motion) {
    size_t count = 0;
    size_t bars[2] = {0, 0};
    const struct eh_stroke *s = eh_exercise_strokes(motion, &count);
    cr_assert_eq(eh_exercise_length(motion), eh_exercise_length(written), "seed %d", (int)seed);
    (void)eh_exercise_bars(written, &bars[0]);
    (void)eh_exercise_bars(motion, &bars[1]);
    cr_assert_eq(bars[0], bars[1]);
    cr_assert_eq(eh_exercise_bar_count(motion), eh_exercise_bar_count(written));
    for (size_t i = 0; i < count; i++) {
        cr_assert(s[i].kind != EH_KIND_GRACE && s[i].kind != EH_KIND_BUZZ, "seed %d", (int)seed);
        cr_assert_eq(s[i].grace_count, 0);
    }
}

/* Every stroke of the motion is one of the exercise's, by the same hand, with the same accent. */
static void expect_strokes_of(uint64_t seed, const struct eh_exercise *written,
                              const struct eh_exercise *motion) {
    size_t counts[2] = {0, 0};
    size_t k = 0;
    const struct eh_stroke *w = eh_exercise_strokes(written, &counts[0]);
    const struct eh_stroke *m = eh_exercise_strokes(motion, &counts[1]);
    for (size_t i = 0; i < counts[1]; i++, k++) {
        while (k < counts[0] && (w[k].at != m[i].at || w[k].kind == EH_KIND_GRACE)) {
            k++;
        }
        cr_assert_lt(k, counts[0], "seed %d, stroke %zu", (int)seed, i);
        cr_assert(w[k].hand == m[i].hand && w[k].accent == m[i].accent &&
                      w[k].step_milli == m[i].step_milli && w[k].bar == m[i].bar,
                  "seed %d, stroke %zu", (int)seed, i);
    }
}

Test(hand_motion, keeps_bars_places_hands_and_levels_whatever_is_written) {
    size_t made = 0;
    for (uint64_t seed = 1; seed <= 1000; seed++) {
        struct eh_exercise *written = random_exercise(seed);
        struct eh_exercise *motion = NULL;
        struct eh_error error = {0};
        if (eh_exercise_has_rolls(written, 0, 0)) {
            cr_assert_eq(eh_exercise_hand_motion(&motion, written, &error), EH_OK, "seed %d: %s",
                         (int)seed, error.text);
            expect_sound(seed, written, motion);
            expect_strokes_of(seed, written, motion);
            made++;
        }
        eh_exercise_free(motion);
        eh_exercise_free(written);
    }
    cr_assert_gt(made, 500);
}
