/* Where rolls lie, how many strokes they have, and their hand motion. An n-stroke roll of odd n is
 * (n - 1) / 2 diddles and a closing stroke (common practice, no source). */
#include <criterion/criterion.h>

#include "describe_reading.h"

struct expected_roll {
    const char *text;
    uint32_t strokes, motions, each;
    size_t first, last; /* places */
    bool closed, buzz, even;
    uint8_t value, group;
};

static void expect_roll(const struct expected_roll *row) {
    struct eh_reading reading = read_or_fail(row->text);
    if (row->strokes == 0) {
        cr_expect_eq(reading.roll_count, 0, "%s", row->text);
        eh_reading_deinit(&reading);
        return;
    }
    cr_assert_geq(reading.roll_count, 1, "%s", row->text);
    const struct eh_reading_roll *roll = &reading.rolls[0];
    cr_expect_eq(roll->strokes, row->strokes, "%s: %u strokes", row->text, roll->strokes);
    cr_expect_eq(roll->motions, row->motions, "%s: %u motions", row->text, roll->motions);
    cr_expect_eq(roll->each, row->each, "%s: %u each", row->text, roll->each);
    cr_expect_eq(roll->first, row->first, "%s: from %zu", row->text, roll->first);
    cr_expect_eq(roll->last, row->last, "%s: to %zu", row->text, roll->last);
    cr_expect_eq(roll->closed, row->closed, "%s", row->text);
    cr_expect_eq(roll->buzz, row->buzz, "%s", row->text);
    cr_expect_eq(roll->even, row->even, "%s", row->text);
    cr_expect(!row->even || (roll->value == row->value && roll->group == row->group), "%s",
              row->text);
    for (size_t i = 0; i < reading.place_count; i++) {
        cr_expect_eq(reading.places[i].roll == 0, i >= row->first && i <= row->last,
                     "%s: place %zu", row->text, i);
    }
    eh_reading_deinit(&reading);
}

Test(reading_rolls, strokes_motion_and_closing_stroke) {
    static const struct expected_roll rows[] = {
        {"metre: 2/4\n| 16:R/L/ 8:R> 4:- |", 5, 2, 2, 0, 2, true, false, true, 4, 0},
        {"metre: 2/4\n| 16:R/L/R/L/ 4:R> |", 9, 4, 2, 0, 4, true, false, true, 4, 0},
        {"metre: 2/4\n| 8:3[R/L/R/] 4:L> |", 7, 3, 2, 0, 3, true, false, true, 3, 3},
        {"metre: 2/4\n| 16:6[R/L/R/L/R/L/] 4:R> |", 13, 6, 2, 0, 6, true, false, true, 4, 6},
        {"metre: 2/4\n| 16:R/L/R/L/ 4:- |", 8, 4, 2, 0, 3, false, false, true, 4, 0},
        {"metre: 2/4\n| 16:R/L/R/L/ 4:R/ |", 10, 5, 2, 0, 4, false, false, false, 0, 0},
        {"metre: 2/4\n| 8:RL 16:L/R/L/R/ | 4:L - |", 9, 4, 2, 2, 6, true, false, true, 4, 0},
        {"metre: 2/4\n| 16:R/L/ 8:_ 4:R |", 9, 2, 0, 0, 3, true, false, true, 4, 0},
        {"metre: 2/4\n| 4:R/// 4:- |", 8, 1, 8, 0, 0, false, false, true, 2, 0},
        {"metre: 2/4\n| 8:Rz Lz Rz Lz | 4:R - |", 4, 4, 1, 0, 3, false, true, true, 3, 0},
        {"metre: 2/4\n| 16:R/LRR 4:- |", 0, 0, 0, 0, 0, false, false, false, 0, 0},
        {"metre: 2/4\n| 4:Rz - |", 0, 0, 0, 0, 0, false, false, false, 0, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        expect_roll(&rows[i]);
    }
}

Test(reading_rolls, a_repeat_sign_ends_a_roll) {
    struct eh_reading reading =
        read_or_fail("metre: 1/4\n| 16:R/L/R/L/ |: 16:R/L/R/L/ :| 16:R/L/R/L/ | 4:R |");
    cr_assert_eq(reading.roll_count, 3);
    cr_expect_eq(reading.rolls[0].strokes, 8);
    cr_expect_not(reading.rolls[0].closed);
    cr_expect_eq(reading.rolls[1].strokes, 8);
    cr_expect_eq(reading.rolls[2].strokes, 9);
    cr_expect(reading.rolls[2].closed);
    eh_reading_deinit(&reading);
}

Test(reading_rolls, the_stroke_that_closes_one_roll_begins_no_other) {
    struct eh_reading reading = read_or_fail("metre: 2/4\n| 16:R/L/ 8:R> 16:L/R/ 8:L> |");
    cr_assert_eq(reading.roll_count, 2);
    cr_expect_eq(reading.rolls[0].last, 2);
    cr_expect_eq(reading.rolls[1].first, 3);
    cr_expect_eq(reading.rolls[1].strokes, 5);
    eh_reading_deinit(&reading);
}
