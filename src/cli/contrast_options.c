#include "contrast_options.h"

#include <math.h>
#include <string.h>

#include "style_pair.h"

static const char about[] =
    "Practises one line in two styles in turn: four bars in the one, the same four in\n"
    "the other, again and again, each with its count-in. What is asked for is said\n"
    "before each pass; nothing needs to be typed. At the end: how high the accents\n"
    "stood in each style, and whether the contrast between them is there.";

static const char more[] =
    "Without --bars: the four bars in a row with the most accents. A pass that was\n"
    "broken off does not count; silence or Ctrl-C ends the practice, and what was\n"
    "played is kept and summed up. docs/styles.md says how the contrast is judged.\n"
    "--demo lets the demo player play; --demo=under-accents:3 plays the same accents\n"
    "in both styles, --demo=help lists its faults.";

/* The row of the one style is the row of the two. */
static void ask_for_two(struct option_row *rows, size_t count, struct contrast_options *options) {
    const struct option_row styles = OPTION_ROW_STYLES(options->styles);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(rows[i].name, "style") == 0) {
            rows[i] = styles;
        }
    }
}

enum options_answer contrast_options_parse(struct contrast_options *out, int argc, char **argv) {
    struct play_options *play = &out->play;
    *out = (struct contrast_options){.play = play_options_default(), .rounds = 4};
    struct option_row rows[] = {
        PLAY_COMMON_ROWS(play),
        OPTION_ROW_NUMBER("tempo", "BPM", "quarters a minute (20 to 400), else the exercise's",
                          play->tempo, -HUGE_VAL, HUGE_VAL),
        OPTION_ROW_TEXT("bars", "A-B", "these bars; else four with the most accents", play->bars),
        OPTION_ROW_COUNT("rounds", "N", "passes in each style; else 4", out->rounds, 1,
                         CONTRAST_ROUNDS_MAX),
        OPTION_ROW_FLAG("json", "the answer as one JSON document at the end", play->json),
    };
    const size_t count = sizeof rows / sizeof rows[0];
    ask_for_two(rows, count, out);
    const struct command_usage usage = {.name = "contrast",
                                        .arguments = "EXERCISE",
                                        .about = about,
                                        .more = more,
                                        .options = rows,
                                        .option_count = count,
                                        .least = 0,
                                        .most = 1};
    const enum options_answer answer = play_options_take(play, &usage, argc, argv);
    return answer == OPTIONS_RUN ? play_options_settle(play, &usage) : answer;
}
