#include "pulse_options.h"

#include <math.h>
#include <string.h>

static const char about[] =
    "Practises an exercise while the click falls silent for some bars, and says\n"
    "what your own beat did meanwhile: how far it went against the click, whether it\n"
    "rushed or dragged, and how soon you were back when the click came in again.";

static const char more[] =
    "--silent every-other: the second, fourth ... bar. --silent growing: one, two,\n"
    "four, eight bars, two bars with the click before each. --silent 3-4,7-8: these\n"
    "written bars, in each pass and repeat. A count-in always sounds.\n"
    "A beat is called held, rushed or dragged only where its whole 90 % interval says\n"
    "so; docs/pulse.md has the measure. \"evenhand judge EXERCISE run:N\" shows the\n"
    "same again. --demo=own-tempo:4 lets the demo player play 4 % faster where there\n"
    "is no click (-4: slower); --demo=help lists its faults.";

/* The pattern, once the rest is right. */
static enum options_answer read_pattern(struct pulse_options *out,
                                        const struct command_usage *usage) {
    struct eh_error error;
    eh_error_clear(&error);
    out->pattern = out->pattern != NULL ? out->pattern : "every-other";
    if (eh_silent_read(&out->silent, out->pattern, &error) != EH_OK) {
        (void)options_complain(usage, "--silent: %s", error.text);
        return OPTIONS_WRONG;
    }
    return OPTIONS_RUN;
}

enum options_answer pulse_options_parse(struct pulse_options *out, int argc, char **argv) {
    struct play_options *play = &out->play;
    *out = (struct pulse_options){.play = play_options_default()};
    const struct option_row rows[] = {
        OPTION_ROW_TEXT("silent", "PATTERN", "every-other (the default), growing, or bars: 3-4,7-8",
                        out->pattern),
        PLAY_COMMON_ROWS(play),
        OPTION_ROW_NUMBER("tempo", "BPM", "quarters a minute (20 to 400), else the exercise's",
                          play->tempo, -HUGE_VAL, HUGE_VAL),
        OPTION_ROW_COUNT("passes", "N", "how often in a row, each with its count-in", play->passes,
                         1, EH_PASSES_MAX),
        OPTION_ROW_TEXT("bars", "A-B", "these bars only", play->bars),
        OPTION_ROW_FLAG("json", "the judgement as one JSON document at the end", play->json),
    };
    const struct command_usage usage = {.name = "pulse",
                                        .arguments = "EXERCISE",
                                        .about = about,
                                        .more = more,
                                        .options = rows,
                                        .option_count = sizeof rows / sizeof rows[0],
                                        .least = 0,
                                        .most = 1};
    enum options_answer answer = play_options_take(play, &usage, argc, argv);
    if (answer == OPTIONS_RUN) {
        answer = play_options_settle(play, &usage);
    }
    return answer == OPTIONS_RUN ? read_pattern(out, &usage) : answer;
}
