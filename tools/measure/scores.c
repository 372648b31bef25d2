#include "scores.h"

#include <stdio.h>
#include <string.h>

struct row {
    const char *name, *style;
    const char *bars[4]; /* taken in turn */
    int bar_count;
    int strokes; /* the pattern's own strokes a hand in all of BARS together */
    const char *close;
};

#define CLOSE "4:R - 2:-"

static const struct row rows[PATTERN_COUNT] = {
    [PATTERN_SINGLES] = {"singles", "rudimental", {"16:RLRL RLRL RLRL RLRL"}, 1, 8, CLOSE},
    [PATTERN_ROLL] =
        {"open-roll", "rudimental", {"16:R/L/R/L/ R/L/R/L/ R/L/R/L/ R/L/R/L/"}, 1, 8, CLOSE},
    [PATTERN_DIDDLES] = {"diddles", "rudimental", {"16:RRLL RRLL RRLL RRLL"}, 1, 4, CLOSE},
    [PATTERN_PARADIDDLES] =
        {"paradiddles", "rudimental", {"16:R>LRR L>RLL R>LRR L>RLL"}, 1, 2, CLOSE},
    [PATTERN_ACCENTS] = {"accents", "rudimental", {"16:R>LRL RL>RL RLR>L RLRL>"}, 1, 2, CLOSE},
    [PATTERN_LOUD_ACCENTS] =
        {"loud-accents", "concert", {"ff 16:R>LRL RL>RL RLR>L RLRL>"}, 1, 2, CLOSE},
    [PATTERN_CONCERT] = {"concert-accents", "concert", {"16:R>LRL RL>RL RLR>L RLRL>"}, 1, 2, CLOSE},
    [PATTERN_FLAMS] = {"flams", "rudimental", {"8:lR rL lR rL lR rL lR rL"}, 1, 4, CLOSE},
    [PATTERN_DRAGS] = {"drags", "rudimental", {"4:llR rrL llR rrL"}, 1, 2, CLOSE},
    [PATTERN_BUZZ] =
        {"buzz-roll", "rudimental", {"16:RzLzRzLz RzLzRzLz RzLzRzLz RzLzRzLz"}, 1, 8, CLOSE},
    [PATTERN_WIDE_BUZZ] = {.name = "wide-buzz-roll"}, /* by the tempo: see below */
    [PATTERN_DYNAMICS] = {"dynamics",
                          "rudimental",
                          {"p 16:RLRL RLRL RLRL RLRL", "f 16:RLRL RLRL RLRL RLRL"},
                          2,
                          8,
                          CLOSE},
    [PATTERN_MARKS] = {"marks",
                       "rudimental",
                       {"p 16:RLRL RLRL RLRL RLRL", "mp 16:RLRL RLRL RLRL RLRL",
                        "mf 16:RLRL RLRL RLRL RLRL", "f 16:RLRL RLRL RLRL RLRL"},
                       4,
                       8,
                       CLOSE},
    [PATTERN_HAIRPINS] = {"hairpins",
                          "rudimental",
                          {"p cresc 16:RLRL RLRL RLRL RLRL", "f dim 16:RLRL RLRL RLRL RLRL"},
                          2,
                          16,
                          "p " CLOSE},
};

/* Below 75 to the quarter 16ths are too far apart for presses to reach each other: six a beat. */
static const struct row slow_buzz = {
    "buzz-roll",
    "rudimental",
    {"16:6[RzLzRzLzRzLz] 6[RzLzRzLzRzLz] 6[RzLzRzLzRzLz] 6[RzLzRzLzRzLz]"},
    1,
    12,
    CLOSE};
static const double slow_buzz_bpm = 75.0;

/* Above 130 a press of three notes outlasts a 16th: triplets. */
static const struct row fast_buzz = {
    "buzz-roll", "rudimental", {"8:3[RzLzRz] 3[LzRzLz] 3[RzLzRz] 3[LzRzLz]"}, 1, 6, CLOSE};
static const double fast_buzz_bpm = 130.0;

/* By how many quarters lie between the hands. */
static const struct wide {
    double quarters;
    struct row row;
} wide_buzzes[] = {
    {1.0 / 2, {"", "rudimental", {"8:RzLzRzLz RzLzRzLz"}, 1, 4, CLOSE}},
    {2.0 / 5, {"", "rudimental", {"8:5[RzLzRzLzRz] 5[LzRzLzRzLz]"}, 1, 5, CLOSE}},
    {1.0 / 3, {"", "rudimental", {"8:3[RzLzRz] 3[LzRzLz] 3[RzLzRz] 3[LzRzLz]"}, 1, 6, CLOSE}},
    {2.0 / 7, {"", "rudimental", {"8:7[RzLzRzLzRzLzRz] 7[LzRzLzRzLzRzLz]"}, 1, 7, CLOSE}},
    {1.0 / 4, {"", "rudimental", {"16:RzLzRzLz RzLzRzLz RzLzRzLz RzLzRzLz"}, 1, 8, CLOSE}},
    {2.0 / 9, {"", "rudimental", {"16:9[RzLzRzLzRzLzRzLzRz] 9[LzRzLzRzLzRzLzRzLz]"}, 1, 9, CLOSE}},
    {1.0 / 5,
     {"",
      "rudimental",
      {"16:5[RzLzRzLzRz] 5[LzRzLzRzLz] 5[RzLzRzLzRz] 5[LzRzLzRzLz]"},
      1,
      10,
      CLOSE}},
    {1.0 / 6,
     {"",
      "rudimental",
      {"16:6[RzLzRzLzRzLz] 6[RzLzRzLzRzLz] 6[RzLzRzLzRzLz] 6[RzLzRzLzRzLz]"},
      1,
      12,
      CLOSE}},
    {1.0 / 7,
     {"",
      "rudimental",
      {"16:7[RzLzRzLzRzLzRz] 7[LzRzLzRzLzRzLz] 7[RzLzRzLzRzLzRz] 7[LzRzLzRzLzRzLz]"},
      1,
      14,
      CLOSE}},
};
static const double widest_ms = 172.0;

/* The widest that is no wider than that, or the narrowest. */
static const struct row *wide_buzz(double bpm) {
    const size_t count = sizeof wide_buzzes / sizeof *wide_buzzes;
    size_t i = 0;
    while (i + 1 < count && wide_buzzes[i].quarters * 60000.0 / bpm > widest_ms) {
        i++;
    }
    return &wide_buzzes[i].row;
}

static const struct row *row_of(enum pattern pattern, double bpm) {
    if (pattern == PATTERN_WIDE_BUZZ) {
        return wide_buzz(bpm);
    }
    if (pattern == PATTERN_BUZZ && bpm < slow_buzz_bpm) {
        return &slow_buzz;
    }
    return pattern == PATTERN_BUZZ && bpm > fast_buzz_bpm ? &fast_buzz : &rows[pattern];
}

const char *pattern_name(enum pattern pattern) {
    return rows[pattern].name;
}

void pattern_bars(enum pattern pattern, int bars, double bpm, char out[SCORES_TEXT]) {
    const struct row *row = row_of(pattern, bpm);
    size_t length = (size_t)snprintf(out, SCORES_TEXT, "style: %s\nmetre: 4/4\n", row->style);
    for (int bar = 0; bar < bars && length < SCORES_TEXT; bar++) {
        const char *notes = row->bars[bar % row->bar_count];
        length += (size_t)snprintf(out + length, SCORES_TEXT - length, "| %s\n", notes);
    }
    if (length < SCORES_TEXT) {
        (void)snprintf(out + length, SCORES_TEXT - length, "| %s |\n", row->close);
    }
}

int pattern_text(enum pattern pattern, int strokes, double bpm, char out[SCORES_TEXT]) {
    const struct row *row = row_of(pattern, bpm);
    const int times = (strokes + row->strokes - 1) / row->strokes;
    pattern_bars(pattern, times * row->bar_count, bpm, out);
    return times * row->bar_count;
}
