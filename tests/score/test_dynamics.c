/* Dynamics and hairpins: the written level of every stroke. */
#include <criterion/criterion.h>

#include "describe.h"

struct row {
    const char *name;
    const char *text;
    const char *levels; /* thousandths of a dynamic step: ppp 0, mf 4000, fff 7000 */
};

static const struct row rows[] = {
    {"mf before any mark", "4:R p L", "R:4000 L:2000"},
    {"every mark", "16:ppp R pp L p R mp L mf R f L ff R fff L",
     "R:0 L:1000 R:2000 L:3000 R:4000 L:5000 R:6000 L:7000"},
    {"a cresc to its mark", "p cresc 8:RLRL | f 4:RL", "R:2000 L:2750 R:3500 L:4250 R:5000 L:5000"},
    {"a dim to its mark", "f dim 8:RLRL | pp 4:RL", "R:5000 L:4000 R:3000 L:2000 R:1000 L:1000"},
    {"the last of two marks at one place holds", "p f 4:RL", "R:5000 L:5000"},
    {"a cresc without a mark leads one step on", "p cresc 8:RLRL end | 4:RL",
     "R:2000 L:2250 R:2500 L:2750 R:3000 L:3000"},
    {"end before a sudden change", "p cresc 4:RL end p | RL", "R:2000 L:2500 R:2000 L:2000"},
    {"a swell", "p cresc 8:RL dim RL | p 4:RL", "R:2000 L:2500 R:3000 L:2500 R:2000 L:2000"},
    {"thousandths are rounded to the nearest", "p cresc 8:3[RLR] 4:L mp | 4:RL",
     "R:2000 L:2167 R:2333 L:2500 R:3000 L:3000"},
    {"... also downwards", "p dim 8:3[RLR] 4:L pp | 4:RL",
     "R:2000 L:1833 R:1667 L:1500 R:1000 L:1000"},
    {"inside a rolled note", "p cresc 4:R// L | f 2:R",
     "R:2000 R:2375 R:2750 R:3125 L:3500 R:5000"},
    {"a mark inside a held roll", "p 4:R/ f _ | 2:R", "R:2000 R:2000 R:5000 R:5000 R:5000"},
    {"grace notes share the level", "p cresc 4:lR rL | f 2:lR",
     "l:2000 R:2000 r:3500 L:3500 l:5000 R:5000"},
    {"a hairpin over rests", "p cresc 4:R- | f RL", "R:2000 R:5000 L:5000"},
    {"a hairpin over two bars", "p cresc 4:RL | RL | f RL",
     "R:2000 L:2750 R:3500 L:4250 R:5000 L:5000"},
    {"a repeat comes back to the paper's level", "p 4:RL |: RL | f RL :| RL",
     "R:2000 L:2000 R:2000 L:2000 R:5000 L:5000 R:2000 L:2000 R:5000 L:5000 R:5000 L:5000"},
    {"the second ending goes on from before the first", "|: p 4:RL | 1st f RL :| 2nd RL",
     "R:2000 L:2000 R:5000 L:5000 R:2000 L:2000 R:2000 L:2000"},
};

Test(score_dynamics, levels_follow_the_marks) {
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_text text = {0};
        eh_text_printf(&text, "metre: 2/4\n%s", rows[i].text);
        expect_strokes(rows[i].name, text.data, SHOW_HAND | SHOW_LEVEL, rows[i].levels);
        eh_text_deinit(&text);
    }
}

Test(score_dynamics, hairpins_are_unfolded_and_strokes_name_theirs) {
    struct eh_exercise *exercise =
        parse_or_fail("metre: 2/4\n|: p 4:R cresc L | f R dim L end :| p cresc 4:R L | ff R L");
    size_t count = 0;
    size_t strokes_count = 0;
    const struct eh_hairpin *hairpins = eh_exercise_hairpins(exercise, &count);
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &strokes_count);
    static const struct eh_hairpin expected[] = {
        {1, 2, EH_DYNAMIC_P, EH_DYNAMIC_F},   {3, 4, EH_DYNAMIC_F, EH_DYNAMIC_MF},
        {5, 6, EH_DYNAMIC_P, EH_DYNAMIC_F},   {7, 8, EH_DYNAMIC_F, EH_DYNAMIC_MF},
        {8, 10, EH_DYNAMIC_P, EH_DYNAMIC_FF},
    };
    static const int of_stroke[] = {-1, 0, -1, 1, -1, 2, -1, 3, 4, 4, -1, -1};
    static const int dynamics[] = {2, 2, 5, 5, 2, 2, 5, 5, 2, 2, 6, 6};
    cr_assert_eq(count, 5);
    for (size_t i = 0; i < count; i++) {
        cr_assert_eq(hairpins[i].from, expected[i].from * EH_TICKS_PER_QUARTER, "%zu", i);
        cr_assert_eq(hairpins[i].to, expected[i].to * EH_TICKS_PER_QUARTER, "%zu", i);
        cr_assert_eq(hairpins[i].from_dynamic, expected[i].from_dynamic, "%zu", i);
        cr_assert_eq(hairpins[i].to_dynamic, expected[i].to_dynamic, "%zu", i);
    }
    cr_assert_eq(strokes_count, 12);
    for (size_t i = 0; i < strokes_count; i++) {
        cr_assert_eq(strokes[i].hairpin, of_stroke[i], "stroke %zu: %d", i, strokes[i].hairpin);
        cr_assert_eq(strokes[i].dynamic, dynamics[i], "stroke %zu: %d", i, strokes[i].dynamic);
    }
    expect_round_trip("hairpins", exercise);
    eh_exercise_free(exercise);
}
