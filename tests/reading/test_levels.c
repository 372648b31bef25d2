/* Dynamics and hairpins in the order of the paper. */
#include <criterion/criterion.h>

#include "describe_reading.h"

/* "1@0 mf; 1@2 p <; 2@0 f": bar, quarter notes from its line, level, what begins. */
static void describe_levels(const struct eh_reading *reading, struct eh_text *out) {
    for (size_t i = 0; i < reading->level_count; i++) {
        const struct eh_reading_level *level = &reading->levels[i];
        eh_text_printf(out, "%s%d@%d %s%s", i == 0 ? "" : "; ", (int)level->bar + 1,
                       (int)(level->at / EH_TICKS_PER_QUARTER),
                       eh_dynamic_text((enum eh_dynamic)level->dynamic),
                       level->swell > 0   ? " <"
                       : level->swell < 0 ? " >"
                                          : "");
    }
}

Test(reading_levels, marks_hairpins_and_endings) {
    static const struct {
        const char *text, *levels;
    } rows[] = {
        {"| 4:RLRL |", "1@0 mf"},
        {"| p 4:RL cresc RL | f RLRL |", "1@0 p; 1@2 p <; 2@0 f"},
        {"| f dim 4:RLRL | RL end RL |", "1@0 f >; 2@2 mf"},
        {"| p cresc 4:RL dim RL | end RLRL |", "1@0 p <; 1@2 mp >; 2@0 p"},
        {"| p cresc 4:RL end p RL |", "1@0 p <; 1@2 p"},
        {"| cresc 4:RLRL end | RLRL |", "1@0 mf <; 1@4 f"},
        {"|: p 4:RLRL | 1st f RLRL :| 2nd RLRL |", "1@0 p; 2@0 f; 3@0 p"},
        {"| ff 4:RLRL | RLRL | pp RLRL |", "1@0 ff; 3@0 pp"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_reading reading = read_or_fail(rows[i].text);
        struct eh_text text = {0};
        describe_levels(&reading, &text);
        cr_expect_str_eq(eh_text_string(&text), rows[i].levels, "%s\n%s", rows[i].text,
                         eh_text_string(&text));
        eh_text_deinit(&text);
        eh_reading_deinit(&reading);
    }
}

/* docs/measures.md: 3, 4.5, 6, 9, 12 inches (common practice, no source). */
Test(reading_levels, stick_heights) {
    static const int heights[EH_DYNAMIC_COUNT] = {0, 0, 30, 45, 60, 90, 120, 0};
    for (int i = 0; i < EH_DYNAMIC_COUNT; i++) {
        cr_expect_eq(eh_stick_height((enum eh_dynamic)i), heights[i]);
    }
}
