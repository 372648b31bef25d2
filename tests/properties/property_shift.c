#include <stdlib.h>
#include <string.h>

#include "chance.h"
#include "compare.h"
#include "property.h"

static void move_clock(struct sample *s, int64_t by_ns) {
    for (size_t i = 0; i < s->take.count; i++) {
        s->take.hits[i].at_ns += by_ns;
    }
    for (size_t i = 0; i < s->take.click.count; i++) {
        s->take.click.segments[i].at_ns += by_ns;
    }
}

/* What the document says of the clock. */
static const char *const clock_fields[] = {"\"start_ms\": ", "\"due_ms\": ", "\"time_ms\": "};

/* The length of a clock field that begins here; 0: none does. */
static size_t clock_field(const char *text) {
    for (size_t i = 0; i < sizeof clock_fields / sizeof clock_fields[0]; i++) {
        const size_t length = strlen(clock_fields[i]);
        if (strncmp(text, clock_fields[i], length) == 0) {
            return length;
        }
    }
    return 0;
}

/* Milliseconds with three decimals, as microseconds; moves past them. */
static long long take_us(const char **text) {
    char *end = NULL;
    const bool negative = **text == '-';
    const long long whole = strtoll(*text, &end, 10);
    const long long rest = strtoll(end + 1, &end, 10);
    *text = end;
    return whole * 1000 + (negative ? -rest : rest);
}

/* Two documents alike but for their clocks, which are BY_US apart. */
static bool alike(const char *a, const char *b, long long by_us, struct eh_text *why) {
    bool same = true;
    while (same && *a != '\0' && *a == *b) {
        const size_t field = clock_field(a);
        if (field == 0) {
            a++;
            b++;
            continue;
        }
        a += field;
        b += field;
        const long long from = take_us(&a);
        const long long to = take_us(&b);
        if (to - from != by_us) {
            eh_text_printf(why, "a time of %lld us became %lld us, %lld us later was meant", from,
                           to, by_us);
            same = false;
        }
    }
    if (same && *a != *b) {
        eh_text_printf(why, "the documents differ: %.120s / %.120s", a, b);
        same = false;
    }
    return same;
}

bool property_shift(const struct sample *sample, struct eh_text *why) {
    struct chance chance = {.state = ~sample->seed};
    static const double ranges_us[] = {1e3, 1e6, 1e9, 4e10}; /* up to eleven hours */
    const double range_us = ranges_us[chance_below(&chance, 4)];
    const int64_t by_us = (int64_t)chance_between(&chance, 1.0, range_us);
    struct sample moved;
    struct eh_text before = {0};
    struct eh_text after = {0};
    sample_copy(&moved, sample);
    move_clock(&moved, by_us * 1000);
    sample_json(sample, &before);
    sample_json(&moved, &after);
    const bool same = alike(eh_text_string(&before), eh_text_string(&after), by_us, why);
    eh_text_deinit(&before);
    eh_text_deinit(&after);
    sample_deinit(&moved);
    return same;
}
