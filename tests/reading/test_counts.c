/* Count syllables against what was typed by hand, by the conventions of docs/reading.md (common
 * practice, no source). */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>

#include "describe_reading.h"

struct counted {
    const char *text, *counts;
    const char *eighths; /* NULL: not counted in dotted beats */
    const char *hands;   /* NULL: of no interest */
};

static void expect_rows(const struct counted *rows, size_t count) {
    for (size_t i = 0; i < count; i++) {
        struct eh_reading reading = read_or_fail(rows[i].text);
        struct eh_text counts = {0};
        struct eh_text eighths = {0};
        struct eh_text hands = {0};
        describe_counts(&reading, &counts);
        describe_eighths(&reading, &eighths);
        describe_hands(&reading, &hands);
        cr_expect_str_eq(eh_text_string(&counts), rows[i].counts, "%s\n%s", rows[i].text,
                         eh_text_string(&counts));
        if (rows[i].eighths != NULL) {
            cr_expect_str_eq(eh_text_string(&eighths), rows[i].eighths, "%s\n%s", rows[i].text,
                             eh_text_string(&eighths));
        } else {
            cr_expect_str_empty(reading.places[0].eighth);
        }
        if (rows[i].hands != NULL) {
            cr_expect_str_eq(eh_text_string(&hands), rows[i].hands, "%s\n%s", rows[i].text,
                             eh_text_string(&hands));
        }
        eh_text_deinit(&counts);
        eh_text_deinit(&eighths);
        eh_text_deinit(&hands);
        eh_reading_deinit(&reading);
    }
}

#define EXPECT_ROWS(rows) expect_rows(rows, sizeof(rows) / sizeof(rows)[0])

Test(reading_counts, simple_metres_in_quarters) {
    static const struct counted rows[] = {
        {"metre: 2/4\n| 8:RL 16:RLRL |", "1 & 2 e & a", NULL, "R L R L R L"},
        {"metre: 3/4\n| 4:R 8:RL 4:- |", "1 2 & (3)", NULL, "R R L -"},
        {"| 4:R 16:RLRL 8.:R 16:L 16:R 8.:L |", "1 2 e & a 3 a 4 e", NULL, NULL},
        {"| 16:R 8:L 16:R 8:R 16:LR 16:-RLR 16:R-L- |", "1 e a 2 & a (3) e & a 4 (e) & (a)", NULL,
         NULL},
        {"metre: 5/4\n| 4:RLRL 8:RL |", "1 2 3 4 5 &", NULL, NULL},
        {"metre: 5/4\n| 16:RLRL 4:R 2:L 8:-R |", "1 e & a 2 3 (4) (5) &", NULL,
         "R L R L R L . - R"},
        {"metre: 2/2\n| 4:RL 8:RLRL |", "1 & 2 e & a", NULL, NULL},
        {"metre: 3/8\n| 8:R 16:RL 8:- |", "1 2 & (3)", NULL, NULL},
    };
    EXPECT_ROWS(rows);
}

Test(reading_counts, rests_ties_and_held_beats_are_counted_and_not_struck) {
    static const struct counted rows[] = {
        {"| 2:R 4:- 8:R- |", "1 (2) (3) 4 (&)", NULL, "R . - R -"},
        {"| 4:R 8:R_ 8:_R 4:L | 8:_R 4:L 2:- |", "1 2 (&) (3) & 4 | (1) & 2 (3) (4)", NULL,
         "R R _ _ R L | _ R L - ."},
        {"| 1:R | 1:- | 4:RLRL |", "1 (2) (3) (4) | (1) (2) (3) (4) | 1 2 3 4", NULL, NULL},
        {"| 4.:R 8:L 4.:R 8:L |", "1 (2) & 3 (4) &", NULL, NULL},
    };
    EXPECT_ROWS(rows);
}

Test(reading_counts, triplets_sextuplets_and_other_groups) {
    static const struct counted rows[] = {
        {"metre: 2/4\n| 8:3[RLR] 3[LRL] |", "1 la li 2 la li", NULL, NULL},
        {"metre: 2/4\n| 8:3[R-L] 3[-RL] |", "1 (la) li (2) la li", NULL, NULL},
        {"metre: 2/4\n| 8:3[4:R 8:L] 3[8:R 16:LR 8:L] |", "1 li 2 la ta li", NULL, NULL},
        {"metre: 2/4\n| 16:6[RLRLRL] 6[RRLLRR] |", "1 la li & la li 2 la li & la li", NULL, NULL},
        {"metre: 2/4\n| 16:3[RLR] 8:L 8:R 16:3[LRL] |", "1 la li & 2 & la li", NULL, NULL},
        {"metre: 2/4\n| 16:3[RLR] 16:LR 16:6[R-L-R-] |", "1 la li & a 2 (la) li (&) la (li)", NULL,
         NULL},
        {"metre: 2/4\n| 4:3[RLR] |", "1 li (2) la", NULL, "R L . R"},
        {"| 2:3[RLR] |", "1 (2) la (3) li (4)", NULL, NULL},
        {"metre: 1/4\n| 16:5[RLRLR] |", "1 ta ta ta ta", NULL, NULL},
        {"metre: 1/4\n| 16:7[RLRLRLR] |", "1 ta ta ta ta ta ta", NULL, NULL},
        {"metre: 1/4\n| 32:RLRLRLRL |", "1 . e . & . a .", NULL, NULL},
        {"metre: 1/4\n| 16:RL 32:RLRL |", "1 e & . a .", NULL, NULL},
    };
    EXPECT_ROWS(rows);
}

Test(reading_counts, dotted_beats_and_the_same_in_eighths) {
    static const struct counted rows[] = {
        {"metre: 6/8\n| 8:RLR LRL |", "1 la li 2 la li", "1 2 3 4 5 6", NULL},
        {"metre: 6/8\n| 16:RLRLRL 4:R 8:L |", "1 ta la ta li ta 2 li", "1 & 2 & 3 & 4 6", NULL},
        {"metre: 6/8\n| 4.:R 8:-RL |", "1 (2) la li", "1 (4) 5 6", NULL},
        {"metre: 6/8\n| 2.:R |", "1 (2)", "1 (4)", NULL},
        {"metre: 6/8\n| 8:2[RL] 8.:R 16:R 8:L |", "1 & 2 ta li", "1 & 4 & 6", NULL},
        {"metre: 6/8\n| 8:4[RLRL] 8:RLR |", "1 e & a 2 la li", "1 a & e 4 5 6", NULL},
        {"metre: 9/8\n| 8:RLR 16:RL 8:RL 4.:- |", "1 la li 2 ta la li (3)", "1 2 3 4 & 5 6 (7)",
         NULL},
        {"metre: 12/8\n| 8:RLR LRL 4.:R 4:L 8:R |", "1 la li 2 la li 3 4 li", "1 2 3 4 5 6 7 10 12",
         NULL},
        {"metre: 6/16\n| 16:RLR LRL |", "1 la li 2 la li", "1 2 3 4 5 6", NULL},
    };
    EXPECT_ROWS(rows);
}

Test(reading_counts, odd_metres_in_their_unit) {
    static const struct counted rows[] = {
        {"metre: 7/8\n| 8:RL RL RLR |", "1 2 3 4 5 6 7", NULL, NULL},
        {"metre: 7/8\n| 16:RLRL 8:RL 4:R 8:L |", "1 & 2 & 3 4 5 (6) 7", NULL, NULL},
        {"metre: 5/8\n| 8:RLR 16:RLRL |", "1 2 3 4 & 5 &", NULL, NULL},
        {"metre: 7/8\n| 8:3[RLR] 8:RLRLR |", "1 li (2) la 3 4 5 6 7", NULL, NULL},
    };
    EXPECT_ROWS(rows);
}

Test(reading_counts, pick_ups_lead_up_to_the_bar_line) {
    static const struct counted rows[] = {
        {"| pickup 4:R | 4:LRLR |", "4 | 1 2 3 4", NULL, NULL},
        {"metre: 3/4\n| pickup 8:L | 4:RLR |", "& | 1 2 3", NULL, NULL},
        {"| pickup 16:RLR | 4:RLRL |", "e & a | 1 2 3 4", NULL, NULL},
        {"metre: 6/8\n| pickup 8:L | 8:RLRLRL |", "li | 1 la li 2 la li", "6 | 1 2 3 4 5 6", NULL},
        {"| 4:RLRL | short 4:RLR :| short 4:L | 4:RLRL |", "1 2 3 4 | 1 2 3 | 4 | 1 2 3 4", NULL,
         NULL},
        {"| 4:RLRL | short 4:RL | 4:RLRL |", "1 2 3 4 | 1 2 | 1 2 3 4", NULL, NULL},
    };
    EXPECT_ROWS(rows);
}

Test(reading_counts, ornaments_rolls_and_presses_at_their_counts) {
    static const struct counted rows[] = {
        {"metre: 2/4\n| 8:lR> rL 8:llR rrL^ |", "1 & 2 &", NULL, "lR> rL llR rrL^"},
        {"metre: 2/4\n| 16:R/L/ 8:R> 16:3[llRLR] 8:rlrL |", "1 e & 2 la li &", NULL,
         "R2 L2 R> llR L R rlrL"},
        {"metre: 2/4\n| 8:Rz Lz 4:R |", "1 & 2", NULL, "Rz Lz R"},
        {"metre: 2/4\n| 2:R// |", "1 2", NULL, "R4 R4"},
        {"metre: 2/4\n| 8:R/ 8:_ 4:L |", "1 & 2", NULL, "R2 R2 L"},
    };
    EXPECT_ROWS(rows);
}
