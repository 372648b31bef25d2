#include <math.h>
#include <string.h>

#include "audition.h"

static const char about[] =
    "Plays the piece as at an audition: counted in, then no click, the whole piece\n"
    "once, at your own tempo. At the end the sheet that a teacher would write: what\n"
    "holds, what fails and in which bars, whether the tempo was kept, what to work on\n"
    "first. Nothing needs to be typed.";

static const char more[] =
    "--count-off 4: tap four even beats on the pad and begin on the next one; 0: your\n"
    "first stroke opens the run. --tempo is the count-in's; then it is up to you.\n"
    "--choose plays nothing: it proposes a tempo from the runs that are kept of the\n"
    "whole piece, yours with this --player (--demo: the demo player's), and says why.\n"
    "--of run:12 shows the sheet of a run again, whichever command it was played by.\n"
    "--json: the judgement document at the end, nothing else on standard output.\n"
    "docs/audition.md explains the sheet.";

static bool read_run(struct audition_options *options) {
    return options->of == NULL ||
           (strncmp(options->of, "run:", 4) == 0 &&
            options_read_integer(options->of + 4, &options->run) && options->run > 0);
}

static enum options_answer check(struct audition_options *options,
                                 const struct command_usage *usage) {
    const struct play_options *play = &options->play;
    if (!read_run(options)) {
        (void)options_complain(usage, "--of: \"%s\" is not run:N; \"evenhand history\" lists them",
                               options->of);
        return OPTIONS_WRONG;
    }
    if (options->of != NULL && (options->choose || play->demo != NULL)) {
        (void)options_complain(usage, "--of: a run that is kept is shown, nothing else is done");
        return OPTIONS_WRONG;
    }
    if (options->choose && play->json) {
        (void)options_complain(usage, "--choose and --json: there is no judgement to write");
        return OPTIONS_WRONG;
    }
    if (play->count_off >= 0 && play->count_in > 1) {
        (void)options_complain(usage,
                               "--count-in and --count-off: either the click counts, or you");
        return OPTIONS_WRONG;
    }
    return play_count_off_fits(usage, play->count_off) ? OPTIONS_RUN : OPTIONS_WRONG;
}

enum options_answer audition_options_parse(struct audition_options *out, int argc, char **argv) {
    struct play_options *play = &out->play;
    *out = (struct audition_options){.play = play_options_default()};
    play->no_click = true;
    const struct option_row rows[] = {
        OPTION_ROW_FLAG("choose", "propose a tempo from the history", out->choose),
        OPTION_ROW_TEXT("of", "run:N", "the sheet of a run that is kept", out->of),
        OPTION_ROW_NUMBER("tempo", "BPM", "of the count-in (20 to 400), else the exercise's",
                          play->tempo, -HUGE_VAL, HUGE_VAL),
        OPTION_ROW_COUNT_OFF(play->count_off),
        OPTION_ROW_FLAG("json", "the judgement as one JSON document at the end", play->json),
        PLAY_COMMON_ROWS(play),
    };
    const struct command_usage usage = {.name = "audition",
                                        .arguments = "EXERCISE",
                                        .about = about,
                                        .more = more,
                                        .options = rows,
                                        .option_count = sizeof rows / sizeof rows[0],
                                        .least = 0,
                                        .most = 1};
    const enum options_answer answer = play_options_take(play, &usage, argc, argv);
    if (answer != OPTIONS_RUN) {
        return answer;
    }
    const enum options_answer checked =
        play_options_asks_help(play) ? OPTIONS_RUN : check(out, &usage);
    return checked == OPTIONS_RUN ? play_options_settle(play, &usage) : checked;
}
