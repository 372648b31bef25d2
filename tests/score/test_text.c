/* Good texts and the strokes that a person reads in them. */
#include <criterion/criterion.h>
#include <stdio.h>

#include "describe.h"

struct good {
    const char *name;
    const char *text;
    const char *strokes;
};

static void expect_all(const struct good *table, size_t count, unsigned show) {
    for (size_t i = 0; i < count; i++) {
        expect_strokes(table[i].name, table[i].text, show, table[i].strokes);
    }
}

#define COUNT(table) (sizeof(table) / sizeof((table)[0]))

static const struct good notes[] = {
    {"quarters", "4:RLRL", "1@0R 1@1L 1@2R 1@3L"},
    {"values carry over bar lines", "metre: 2/4\n 8:RL RL | RL RL",
     "1@0R 1@1/2L 1@1R 1@3/2L 2@0R 2@1/2L 2@1R 2@3/2L"},
    {"rests", "metre: 2/4\n 8:R- -L", "1@0R 1@3/2L"},
    {"dots", "metre: 2/4\n 8.:R 16:L 8..:R 32:L", "1@0R 1@3/4L 1@1R 1@15/8L"},
    {"longest and shortest values", "1:R | 2:L 4:- 8:- 16:R 32:L 64:R 128:L -",
     "1@0R 2@0L 2@7/2R 2@15/4L 2@31/8R 2@63/16L"},
    {"accents", "4:R>L^RL>", "1@0R> 1@1L^ 1@2R 1@3L>"},
    {"flam, drag, ruff", "metre: 4/4\n 4:lR rlL> rrL rlrlR",
     "1@0l 1@0R 1@1r 1@1l 1@1L> 1@2r 1@2r 1@2L 1@3r 1@3l 1@3r 1@3l 1@3R"},
    {"buzzes", "metre: 2/4\n 8:Rz Lz> 4:Rz", "1@0Rz 1@1/2Lz> 1@1Rz"},
    {"marks in any order", "metre: 1/4\n 8:R>/L/>", "1@0R1>/ 1@1/4R2/ 1@1/2L1>/ 1@3/4L2/"},
    {"doubles by two notes", "metre: 1/4\n 16:RRLL", "1@0R1 1@1/4R2 1@1/2L1 1@3/4L2"},
    {"doubles by a slash", "metre: 1/4\n 16:R/L/ 8:R>",
     "1@0R1/ 1@1/8R2/ 1@1/4L1/ 1@3/8L2/ 1@1/2R>"},
    {"a grace note before a rolled note", "metre: 1/4\n 8:lR> lR/",
     "1@0l 1@0R> 1@1/2l 1@1/2R/ 1@3/4R/"},
};

Test(score_text, reads_notes_rests_and_marks) {
    expect_all(notes, COUNT(notes), SHOW_USUAL);
}

static const struct good groups[] = {
    {"triplet", "metre: 2/4\n 8:3[RLR] 3[LRL]", "1@0R 1@1/3L 1@2/3R 1@1L 1@4/3R 1@5/3L"},
    {"quintuplet", "metre: 1/4\n 16:5[RLRLR]", "1@0R 1@1/5L 1@2/5R 1@3/5L 1@4/5R"},
    {"sextuplet", "metre: 1/4\n 16:6[RLRLRL]", "1@0R 1@1/6L 1@1/3R 1@1/2L 1@2/3R 1@5/6L"},
    {"septuplet", "metre: 1/4\n 16:7[RLRLRLR]", "1@0R 1@1/7L 1@2/7R 1@3/7L 1@4/7R 1@5/7L 1@6/7R"},
    {"septuplet in the time of eight", "metre: 1/4\n 32:7in8[RLRLRLR]",
     "1@0R 1@1/7L 1@2/7R 1@3/7L 1@4/7R 1@5/7L 1@6/7R"},
    {"duplet in 6/8", "metre: 6/8\n 8:2[RL] RLR", "1@0R 1@3/4L 1@3/2R 1@2L 1@5/2R"},
    {"unequal notes in a triplet", "metre: 2/4\n 3[4:R 8:L] 3[8:R 16:LR 8:L]",
     "1@0R 1@2/3L 1@1R 1@4/3L 1@3/2R 1@5/3L"},
    {"rest and hold in a triplet", "metre: 1/4\n 8:3[R_L]", "1@0R 1@2/3L"},
    {"doubled septuplet", "metre: 1/4\n 16:7[R/L/R/L/R/L/R/]",
     "1@0R1/ 1@1/14R2/ 1@1/7L1/ 1@3/14L2/ 1@2/7R1/ 1@5/14R2/ 1@3/7L1/ 1@1/2L2/ 1@4/7R1/ 1@9/14R2/ "
     "1@5/7L1/ 1@11/14L2/ 1@6/7R1/ 1@13/14R2/"},
    {"triplet inside a triplet", "metre: 2/4\n 4:3[R 8:3[LRL] 4:R]",
     "1@0R 1@2/3L 1@8/9R 1@10/9L 1@4/3R"},
    {"quintuplet inside a triplet", "metre: 1/4\n 8:3[R 32:5[LRLRL] 8:R]",
     "1@0R 1@1/3L 1@2/5R 1@7/15L 1@8/15R 1@3/5L 1@2/3R"},
};

Test(score_text, reads_groups) {
    expect_all(groups, COUNT(groups), SHOW_USUAL);
}

/* How many a group takes the place of when it does not say so. */
Test(score_text, groups_have_their_usual_partners) {
    static const int partners[] = {0, 0, 3, 2, 3, 4, 4, 4, 6, 8, 8};
    for (int actual = 2; actual <= 10; actual++) {
        struct eh_text short_form = {0};
        struct eh_text long_form = {0};
        const char *format = "metre: %d/32\n32:%d%s[%.*s]";
        char said[16];
        (void)snprintf(said, sizeof said, "in%d", partners[actual]);
        eh_text_printf(&short_form, format, partners[actual], actual, "", actual, "RLRLRLRLRL");
        eh_text_printf(&long_form, format, partners[actual], actual, said, actual, "RLRLRLRLRL");
        struct eh_exercise *one = parse_or_fail(short_form.data);
        struct eh_exercise *other = parse_or_fail(long_form.data);
        cr_assert(eh_exercise_equal(one, other), "%d", actual);
        eh_exercise_free(one);
        eh_exercise_free(other);
        eh_text_deinit(&short_form);
        eh_text_deinit(&long_form);
    }
}

static const struct good rolls[] = {
    /* As on paper: quarter with three slashes, eighth with two, 16th with one are 32nds (MusicXML
     * 4.0, element tremolo: beams already on the note are not counted). */
    {"quarter with three", "metre: 1/4\n 4:R///",
     "1@0R=1/8 1@1/8R=1/8 1@1/4R=1/8 1@3/8R=1/8 1@1/2R=1/8 1@5/8R=1/8 1@3/4R=1/8 1@7/8R=1/8"},
    {"eighth with two", "metre: 1/8\n 8:L//", "1@0L=1/8 1@1/8L=1/8 1@1/4L=1/8 1@3/8L=1/8"},
    {"16th with one", "metre: 1/16\n 16:R/", "1@0R=1/8 1@1/8R=1/8"},
    {"half with one", "metre: 2/4\n 2:R/", "1@0R=1/2 1@1/2R=1/2 1@1R=1/2 1@3/2R=1/2"},
    {"whole with two", "metre: 1/2\n 2:R//",
     "1@0R=1/4 1@1/4R=1/4 1@1/2R=1/4 1@3/4R=1/4 1@1R=1/4 1@5/4R=1/4 1@3/2R=1/4 1@7/4R=1/4"},
    {"dotted eighth with one", "metre: 3/16\n 8.:R/", "1@0R=1/4 1@1/4R=1/4 1@1/2R=1/4"},
    {"triplet eighths with one", "metre: 1/4\n 8:3[R/L/R/]",
     "1@0R=1/6 1@1/6R=1/6 1@1/3L=1/6 1@1/2L=1/6 1@2/3R=1/6 1@5/6R=1/6"},
    {"tie", "metre: 2/4\n 4:R _ | 8:_L 4:R", "1@0R=5/2 2@1/2L=1/2 2@1R=1"},
    {"tied buzz", "metre: 2/4\n 4:RzLz | 8:_R-L", "1@0R=1 1@1L=3/2 2@1/2R=1/2 2@3/2L=1/2"},
    {"a held roll rolls on", "metre: 2/8\n 8:-R/ | _ L",
     "1@1/2R=1/4 1@3/4R=1/4 2@0R=1/4 2@1/4R=1/4 2@1/2L=1/2"},
};

Test(score_text, cuts_rolls_into_strokes_and_ties_notes) {
    expect_all(rolls, COUNT(rolls), SHOW_PLACE | SHOW_HAND | SHOW_LENGTH);
}

static const struct good bars[] = {
    {"metre changes", "metre: 2/4\n 4:RL | 3/8 8:RLR | 5/4 4:RLRLR | 8:RLRLRLRLRL",
     "0R 1L 2R 5/2L 3R 7/2R 9/2L 11/2R 13/2L 15/2R 17/2R 9L 19/2R 10L 21/2R 11L 23/2R 12L 25/2R "
     "13L"},
    {"pick-up and short last bar", "metre: 3/4\n pickup 8:RL | 4:RLR | short 2:L",
     "0R 1/2L 1R 2L 3R 4L"},
    {"last bar with one stroke", "metre: 2/4\n 8:RLRL | 4:R-", "0R 1/2L 1R 3/2L 2R"},
};

Test(score_text, keeps_bars_and_metres) {
    expect_all(bars, COUNT(bars), SHOW_AT | SHOW_HAND);
    struct eh_exercise *exercise = parse_or_fail(bars[1].text);
    size_t count = 0;
    const struct eh_bar *played = eh_exercise_bars(exercise, &count);
    cr_assert_eq(count, 3);
    cr_assert_eq(eh_exercise_bar_count(exercise), 3);
    cr_assert_eq(played[0].length, EH_TICKS_PER_QUARTER);
    cr_assert_eq(played[1].at, EH_TICKS_PER_QUARTER);
    cr_assert_eq(played[1].beats, 3);
    cr_assert_eq(played[1].unit, 4);
    cr_assert_eq(played[2].written, 3);
    cr_assert_eq(eh_exercise_length(exercise), 6 * EH_TICKS_PER_QUARTER);
    eh_exercise_free(exercise);
}

Test(score_text, grace_notes_know_their_main_note) {
    struct eh_exercise *exercise = parse_or_fail("metre: 2/4\n 4:R llR>");
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    cr_assert_eq(count, 4);
    cr_assert_eq(strokes[1].kind, EH_KIND_GRACE);
    cr_assert_eq(strokes[1].grace_rank, 2);
    cr_assert_eq(strokes[2].grace_rank, 1);
    cr_assert_eq(strokes[2].at, strokes[3].at);
    cr_assert_eq(strokes[2].length, 0);
    cr_assert_eq(strokes[2].accent, 0);
    cr_assert_eq(strokes[3].grace_rank, 0);
    cr_assert_eq(strokes[3].grace_count, 2);
    cr_assert_eq(strokes[3].accent, 1);
    eh_exercise_free(exercise);
}

Test(score_text, reads_the_header) {
    struct eh_exercise *exercise =
        parse_or_fail("title:  Study  #3: R\xc3\xbchrung \nabout: one\nstyle: my-style_2\n"
                      "# a comment\nabout: two\ntempo: 66.5 to 132\nmetre: 1/4\n4:R");
    cr_assert_str_eq(eh_exercise_title(exercise), "Study #3: R\xc3\xbchrung");
    cr_assert_str_eq(eh_exercise_about(exercise), "one two");
    cr_assert_str_eq(eh_exercise_style(exercise), "my-style_2");
    cr_assert_float_eq(eh_exercise_tempo_start(exercise), 66.5, 1e-12);
    cr_assert_float_eq(eh_exercise_tempo_goal(exercise), 132.0, 1e-12);
    expect_round_trip("header", exercise);
    eh_exercise_free(exercise);
}

Test(score_text, without_a_header_says_so_by_defaults) {
    struct eh_exercise *exercise = parse_or_fail("1:R");
    cr_assert_str_eq(eh_exercise_title(exercise), "");
    cr_assert_str_eq(eh_exercise_style(exercise), "");
    cr_assert_float_eq(eh_exercise_tempo_start(exercise), 80.0, 1e-12);
    cr_assert_float_eq(eh_exercise_tempo_goal(exercise), 120.0, 1e-12);
    expect_round_trip("defaults", exercise);
    eh_exercise_free(exercise);
}

Test(score_text, one_tempo_is_start_and_goal) {
    struct eh_exercise *exercise = parse_or_fail("tempo: 20\n1:R");
    cr_assert_float_eq(eh_exercise_tempo_start(exercise), 20.0, 1e-12);
    cr_assert_float_eq(eh_exercise_tempo_goal(exercise), 20.0, 1e-12);
    eh_exercise_free(exercise);
}

Test(score_text, bytes_of_any_editor_give_the_same_exercise) {
    static const char *const same[] = {
        "title: T\nmetre: 2/4\n\n4:R L | R L\n",
        "\xef\xbb\xbftitle: T\nmetre: 2/4\n\n4:R L | R L",
        "title: T\r\nmetre: 2/4\r\n\r\n4:R L | R L\r\n",
        "title: T\rmetre: 2/4\r\r4:R L | R L",
        "\n\n# first\n  title:\tT  \n\tmetre : 2/4 # second\n4:RL\n# third | R\n||RL||#end",
    };
    struct eh_exercise *first = parse_or_fail(same[0]);
    for (size_t i = 1; i < COUNT(same); i++) {
        struct eh_exercise *other = parse_or_fail(same[i]);
        cr_assert(eh_exercise_equal(first, other), "text %zu differs", i);
        eh_exercise_free(other);
    }
    eh_exercise_free(first);
}

Test(score_text, unequal_exercises_are_told_apart) {
    static const char *const different[] = {
        "4:RLRL",           "4:RLRR",
        "4:R>LRL",          "4:lRLRL",
        "4:RLR-",           "4:RzLRL",
        "4:R/LRL",          "p 4:RLRL",
        "2:R 4:RL",         "title: T\n4:RLRL",
        "4:RLRL:|",         "style: s\n4:RLRL",
        "4:rRLRL",          "4:RLR_",
        "8/8 4:RLRL",       "tempo: 90\n4:RLRL",
        "4:RLRL|2:RL:|1:R", "4:RLRL|1st 2:RL:|2nd 1:R",
        "about: a\n4:RLRL", "|:4:RLRL:|",
    };
    for (size_t i = 0; i < COUNT(different); i++) {
        struct eh_exercise *one = parse_or_fail(different[i]);
        for (size_t j = 0; j < COUNT(different); j++) {
            struct eh_exercise *other = parse_or_fail(different[j]);
            cr_assert_eq(eh_exercise_equal(one, other), i == j, "%s and %s", different[i],
                         different[j]);
            eh_exercise_free(other);
        }
        eh_exercise_free(one);
    }
}

Test(score_text, prints_in_the_canonical_layout) {
    struct eh_exercise *exercise =
        parse_or_fail("tempo:72.50 to 100\nstyle: s\ntitle: T\nmetre:2/4\n"
                      "pickup 8:R|:p 16:RLRL cresc 8:3[RlrLR>/]|f 4:Rz_:|x3 6/8 8:RLR8:LR L| "
                      "8.:R 16:L7in8[RLRLRLR]");
    struct eh_text out = {0};
    cr_assert_eq(eh_exercise_print(exercise, &out), EH_OK);
    cr_assert_str_eq(out.data, "title: T\nstyle: s\ntempo: 72.5 to 100\nmetre: 2/4\n\n"
                               "| pickup 8:R |: p 16:RLRL cresc 8:3[RlrLR>/] | f 4:Rz _ :|x3 6/8 "
                               "8:RLR LRL |\n| 8.:R 16:L 7in8[RLRLRLR] |\n");
    eh_text_deinit(&out);
    eh_exercise_free(exercise);
}
