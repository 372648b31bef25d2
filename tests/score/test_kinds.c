/* Which strokes are doubles: exactly two successive strokes of one hand, as near as a 16th or as
 * the nearest strokes of the exercise (an eighth at most), no further apart than the second is from
 * the stroke after it, and without a drag between. What the trade calls a diddle: common practice,
 * no source. */
#include <criterion/criterion.h>

#include "describe.h"

struct row {
    const char *name;
    const char *text;
    const char *strokes;
};

static const struct row rows[] = {
    {"alternating", "16:RLRL RLRL", "RLRLRLRL"},
    {"two of a hand", "16:RRLL RRLL", "R1R2L1L2R1R2L1L2"},
    {"three of a hand are single", "16:RRRL LLRR", "RRRLLLR1R2"},
    {"four of a hand are single", "16:RRRR LLRL", "RRRRL1L2RL"},
    {"the first two of all", "16:RRLR LRLR", "R1R2LRLRLR"},
    {"the last two of all: nothing follows that could be too near", "16:RLRL RLRR", "RLRLRLR1R2"},
    {"the last two, an eighth apart", "8:RLRR", "RLR1R2"},
    {"two taps at half of the exercise's pace", "16:RLRL 8:RR", "RLRLRR"},
    {"an eighth apart", "8:RRLL", "R1R2L1L2"},
    {"a 128th more than an eighth apart", "8:R 128:- R 64:- 32:- 16:- 4:-", "RR"},
    {"a quarter apart", "4:RR", "RR"},
    {"as far as the stroke after", "8:RR 4:L", "R1R2L"},
    {"the stroke after as far as the first two", "8:RR LR", "R1R2LR"},
    {"the stroke after nearer", "8:R 16:RLRL 8:R", "RRLRLR"},
    {"the stroke after nearer by a 128th", "8:R 16.: R 64: - 128: - L 4:-", "RRL"},
    {"the stroke after further by a 128th", "16:RR 128:-L 64:- 32:- 16:- 4:-", "R1R2L"},
    {"a rest between", "32:R-R- L-L- 4:-", "R1R2L1L2"},
    {"a long rest parts no run of three", "16:RR 4.:- | 16:RL 4.:-", "RRRL"},
    {"grace notes are passed over", "16:lRlRrLrL 4:-", "lR1lR2rL1rL2"},
    {"a grace note of the same hand adds nothing", "16:rR rRL- 4:-", "rR1rR2L"},
    {"a buzz is no part", "16:RzRLL 4:-", "RzRL1L2"},
    {"a buzz makes a third", "16:RzRRL 4:-", "RzRRL"},
    {"two buzzes", "16:RzRzLzL 4:-", "RzRzLzL"},
    {"a slash on a 16th", "16:R/L/R/L/ 4:-", "R1R2L1L2R1R2L1L2"},
    {"a slash and a neighbour of the same hand", "16:R/RLL 4:-", "RRRL1L2"},
    {"a slash on a dotted 16th is a triple", "16.:R/ L/ R/ L/ 8:-", "RRRLLLRRRLLL"},
    {"three slashes on a quarter are no doubles", "4:R/// L", "RRRRRRRRL"},
    {"doubles in triplets", "8:3[RRL] 3[LRR]", "R1R2L1L2R1R2"},
    {"paradiddles in 16ths", "16:RLRR LRLL", "RLR1R2LRL1L2"},
    {"the same in eighths", "8:RLRR | LRLL", "RLR1R2LRL1L2"},
    {"but not in a quarter's triplets", "4:3[RLR] | 3[RLL]", "RLRRLL"},
    {"16ths by 32nds", "16:RLRR L/R/L/R/", "RLR1R2L1L2R1R2L1L2R1R2"},
    {"triplets are diddles by triplets", "8:3[RRL] 3[RRL]", "R1R2LR1R2L"},
    {"and taps by 16ths", "8:3[RRL] 16:RLRL", "RRLRLRL"},
    {"two beats a hand before the roll", "8:RRLL | 16:R/L/R/L/ 4:-", "RRLLR1R2L1L2R1R2L1L2"},
    {"flam taps in eighths", "8:lRR rLL", "lR1R2rL1L2"},
    {"flam taps in eighths, then in 16ths", "8:lRR rLL | 16:lRR rLL 4:-", "lRRrLLlR1R2rL1L2"},
    {"inverted flam taps: a flam on the second", "16:lRL rLR lRL rLR", "lRL1rL2R1lR2L1rL2R"},
    {"a drag between", "8:RllR LrrL", "RllRLrrL"},
    {"a ruff between", "16:RlrlR 8:LL 8:-|", "RlrlRLL"},
    {"a drag before the first", "16:llRR rrLL 4:-", "llR1R2rrL1L2"},
    {"drag paradiddle", "6/8 8:R> 16:llRLRR 8:L> 16:rrLRLL", "RllRLR1R2LrrLRL1L2"},
    {"over the bar line", "16:-LRL RLRL | 4:LR", "LRLRLRL1L2R"},
};

Test(score_kinds, doubles_are_exactly_two_strokes_of_a_hand_near_enough) {
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_text text = {0};
        eh_text_printf(&text, "metre: 2/4\n%s", rows[i].text);
        struct eh_exercise *exercise = parse_or_fail(text.data);
        struct eh_text found = {0};
        describe_strokes(exercise, SHOW_HAND | SHOW_KIND, &found);
        struct eh_text joined = {0};
        for (const char *at = found.data; *at != '\0'; at++) {
            if (*at != ' ') {
                eh_text_add_char(&joined, *at);
            }
        }
        cr_assert_str_eq(joined.data, rows[i].strokes, "%s: expected %s, found %s", rows[i].name,
                         rows[i].strokes, joined.data);
        eh_text_deinit(&joined);
        eh_text_deinit(&found);
        eh_text_deinit(&text);
        eh_exercise_free(exercise);
    }
}
