#include "random_exercise.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "builder.h"
#include "evenhand/text.h"
#include "unfold.h"

/* xorshift64* (Vigna 2016), so that a seed gives the same exercise everywhere. */
static uint64_t state;

static int below(int n) {
    state ^= state >> 12;
    state ^= state << 25;
    state ^= state >> 27;
    return (int)((state * UINT64_C(2685821657736338717) >> 33) % (uint64_t)n);
}

static bool chance(int percent) {
    return below(100) < percent;
}

static const struct score_place nowhere = {1, 1};

/* What the generator must remember to stay within the rules. */
struct making {
    struct score_builder builder;
    bool holdable; /* a note directly before, in the same bar, not a roll */
    int dynamic;
    int swell;   /* open hairpin: 1, -1, 0 */
    bool inside; /* ... and a note stands in it */
};

/* The generator keeps to the rules; where the builder says otherwise, one of the two is wrong. */
static void ok(enum eh_status status, const struct making *making) {
    if (status != EH_OK) {
        (void)fprintf(stderr, "random exercise: %s: %s\n", eh_status_text(status),
                      making->builder.error == NULL ? "" : making->builder.error->text);
        abort();
    }
}

/* The length under the groups that are open; 0: not a whole number of ticks. */
static eh_ticks scaled(const struct making *making, struct score_length length) {
    const struct score_level *level = &making->builder.levels[making->builder.depth];
    const eh_ticks plain = score_plain_length(length) * level->times;
    return plain % level->over == 0 ? plain / level->over : 0;
}

static struct score_note random_note(const struct making *making, struct score_length length) {
    struct score_note note = {.hand = (uint8_t)below(2), .accent = (uint8_t)(chance(30) ? 1 : 0)};
    note.accent = chance(5) ? 2 : note.accent;
    note.grace_count = (uint8_t)(chance(20) ? below(8) : 0);
    note.grace_hands = (uint8_t)below(1 << note.grace_count);
    note.buzz = chance(10);
    note.slashes = (uint8_t)(!note.buzz && chance(20) ? 1 + below(3) : 0);
    const struct score_item item = {.kind = SCORE_NOTE,
                                    .value = length.value,
                                    .dots = length.dots,
                                    .length = scaled(making, length),
                                    .note = note};
    const eh_ticks spacing = score_stroke_spacing(&item);
    if (spacing == 0 || item.length % spacing != 0) {
        note.slashes = 0;
    }
    return note;
}

static void add_sound(struct making *making, struct score_length length) {
    if (making->holdable && chance(10)) {
        ok(score_add_hold(&making->builder, length, nowhere), making);
    } else if (chance(15)) {
        ok(score_add_rest(&making->builder, length, nowhere), making);
        making->holdable = false;
    } else {
        const struct score_note note = random_note(making, length);
        ok(score_add_note(&making->builder, length, &note, nowhere), making);
        making->holdable = note.slashes == 0;
    }
    making->inside = true;
}

static void mark(struct making *making, int what) {
    ok(score_add_mark(&making->builder, what, nowhere), making);
}

static void close_swell(struct making *making) {
    if (making->swell != 0) {
        mark(making, SCORE_END);
        making->dynamic += making->swell;
        making->swell = 0;
    }
}

static void maybe_mark(struct making *making) {
    if (making->swell != 0) {
        if (making->inside && chance(30)) {
            close_swell(making);
        }
        return;
    }
    if (chance(10)) {
        making->dynamic = below(EH_DYNAMIC_COUNT);
        mark(making, making->dynamic);
    } else if (chance(8)) {
        making->swell = chance(50) ? 1 : -1;
        if (making->dynamic + making->swell < 0 ||
            making->dynamic + making->swell >= EH_DYNAMIC_COUNT) {
            making->swell = 0;
            return;
        }
        mark(making, making->swell > 0 ? SCORE_CRESC : SCORE_DIM);
        making->inside = false;
    }
}

static void fill(struct making *making, eh_ticks plain, int depth);

/* A group of ACTUAL notes of VALUE in the time of NORMAL. */
static void add_group(struct making *making, int actual, int normal, int value, int depth) {
    ok(score_group_begin(&making->builder, actual, normal, nowhere), making);
    for (int k = 0; k < actual; k++) {
        fill(making, SCORE_WHOLE >> value, depth + 1);
    }
    ok(score_group_end(&making->builder, nowhere), making);
}

static const struct {
    int actual, normal;
} ratios[] = {{3, 2}, {5, 4}, {6, 4}, {7, 4}, {2, 3}, {4, 3}, {9, 8}, {7, 8}, {10, 8}, {3, 4}};

/* Tries to begin a group that fits into PLAIN and whose notes, halved twice, are whole ticks. */
static eh_ticks try_group(struct making *making, eh_ticks plain, int depth) {
    const int pick = below((int)(sizeof ratios / sizeof ratios[0]));
    const int value = 2 + below(4);
    const int actual = ratios[pick].actual;
    const int normal = ratios[pick].normal;
    const eh_ticks length = (SCORE_WHOLE >> value) * normal;
    const struct score_level *level = &making->builder.levels[making->builder.depth];
    const eh_ticks finest = (SCORE_WHOLE >> value) / 4 * level->times * normal;
    if (depth > 1 || length > plain || finest % (level->over * actual) != 0) {
        return 0;
    }
    add_group(making, actual, normal, value, depth);
    return length;
}

/* Fills PLAIN ticks (before the groups around scale them), a power-of-two part of a whole or a row
 * of them. */
static void fill(struct making *making, eh_ticks plain, int depth) {
    while (plain > 0) {
        maybe_mark(making);
        const eh_ticks used = chance(20) ? try_group(making, plain, depth) : 0;
        if (used > 0) {
            plain -= used;
            continue;
        }
        struct score_length length = {.value = (uint8_t)(1 + below(SCORE_VALUE_LAST))};
        length.dots = (uint8_t)(length.value < SCORE_VALUE_LAST && chance(20) ? 1 : 0);
        if (depth > 0) { /* as one note, or in halves */
            length = (struct score_length){.value = 0};
            while (score_plain_length(length) > plain) {
                length.value++;
            }
            length.value = (uint8_t)(length.value + (length.value < 6 && chance(20)));
        }
        const eh_ticks plain_length = score_plain_length(length);
        if (plain_length == 0 || plain_length > plain || scaled(making, length) == 0) {
            continue;
        }
        add_sound(making, length);
        plain -= plain_length;
    }
}

static void random_words(struct making *making) {
    static const char *const words[] = {"slow", "Rolls:", "#3", "na\xc3\xafve", "|", "and", "16:"};
    struct eh_text text = {0};
    const int count = below(40);
    for (int i = 0; i < count; i++) {
        eh_text_printf(&text, "%s%s", words[below(7)], chance(80) ? " " : "\t ");
    }
    eh_text_add_char(&text, 'x');
    ok(score_builder_text(&making->builder, SCORE_ABOUT, text.data, text.length, nowhere), making);
    const char *title = words[below(7)];
    ok(score_builder_text(&making->builder, SCORE_TITLE, title, strlen(title), nowhere), making);
    eh_text_deinit(&text);
    const int32_t start = 20000 + below(100000);
    ok(score_builder_tempo(&making->builder, start, start + below(100000), nowhere), making);
}

static void random_bar(struct making *making, bool repeat_from, int ending) {
    const int unit = 1 << below(5);
    const int beats = 1 + below(unit);
    ok(score_bar_begin(&making->builder, nowhere), making);
    if (repeat_from) {
        score_bar_repeat_from(&making->builder);
    }
    if (ending > 0) {
        ok(score_bar_ending(&making->builder, ending, nowhere), making);
    }
    if (chance(50)) {
        ok(score_builder_metre(&making->builder, beats, unit, nowhere), making);
    }
    const struct score_bar *bar =
        &making->builder.exercise->bars[making->builder.exercise->bar_count - 1];
    const eh_ticks length = score_metre_length(bar->beats, bar->unit);
    const bool is_short = chance(10);
    if (is_short) {
        score_bar_short(&making->builder);
    }
    making->holdable = false;
    fill(making, is_short ? length / 2 : length, 0);
    close_swell(making);
    ok(score_bar_end(&making->builder, nowhere), making);
}

/* A stretch of bars: plain, repeated, or with endings. */
static void random_stretch(struct making *making) {
    const int bars = 1 + below(3);
    const int shape = below(3);
    for (int i = 0; i < bars; i++) {
        random_bar(making, shape > 0 && i == 0, 0);
    }
    if (shape == 1) {
        ok(score_bar_repeat_back(&making->builder, 2 + below(3), nowhere), making);
    } else if (shape == 2) {
        const int endings = 2 + below(3);
        const int dynamic = making->dynamic;
        for (int k = 1; k <= endings; k++) {
            making->dynamic = dynamic;
            random_bar(making, false, k);
            if (k < endings) {
                ok(score_bar_repeat_back(&making->builder, 2, nowhere), making);
            }
        }
    }
}

struct eh_exercise *random_exercise(uint64_t seed) {
    struct eh_error error;
    struct making making = {.dynamic = EH_DYNAMIC_MF};
    struct eh_exercise *exercise = NULL;
    state = seed * UINT64_C(0x9E3779B97F4A7C15) + 1;
    ok(score_builder_init(&making.builder, &error), &making);
    random_words(&making);
    ok(score_bar_begin(&making.builder, nowhere), &making); /* one stroke at least */
    ok(score_add_note(&making.builder, (struct score_length){0}, &(struct score_note){.hand = 1},
                      nowhere),
       &making);
    ok(score_bar_end(&making.builder, nowhere), &making);
    const int stretches = 1 + below(3);
    for (int i = 0; i < stretches; i++) {
        random_stretch(&making);
    }
    ok(score_builder_finish(&making.builder, &exercise, nowhere), &making);
    score_builder_drop(&making.builder);
    return exercise;
}
