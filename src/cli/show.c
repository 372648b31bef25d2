/* evenhand show */
#include <stdio.h>

#include "command.h"
#include "evenhand/plan.h"
#include "evenhand/reading.h"
#include "exercise_find.h"
#include "look.h"
#include "options.h"
#include "play_options.h"
#include "say.h"

enum { WIDTH_LEAST = 60, WIDTH_MOST = 120 };

struct show_options {
    const char *exercise, *part;
    int64_t first_bar, last_bar; /* 0: not said */
    int64_t width;
};

static enum options_answer parse(int argc, char **argv, struct show_options *out) {
    const char *bars = NULL;
    const struct option_row rows[] = {
        OPTION_ROW_TEXT("bars", "A-B", "only these written bars: 5-8, 5-, -8, 5", bars),
        EXERCISE_PART_ROW(out->part),
        OPTION_ROW_COUNT("width", "COLUMNS", "how wide; else 80", out->width, WIDTH_LEAST,
                         WIDTH_MOST),
    };
    const struct command_usage usage = {
        .name = "show",
        .arguments = "EXERCISE",
        .about = "Prints an exercise as it is read: what it trains, how much there is to play,\n"
                 "then bar by bar what is counted, which hand, the accents, how many strokes a\n"
                 "roll has and which hand motion makes it, dynamics with the height of the\n"
                 "stick. EXERCISE is a name from \"evenhand list\", a text file or a MusicXML\n"
                 "file.",
        .more = "How it is counted: docs/reading.md. \"evenhand export EXERCISE FILE.txt\" writes\n"
                "the exercise's text.",
        .options = rows,
        .option_count = sizeof rows / sizeof rows[0],
        .least = 1,
        .most = 1,
    };
    struct command_words words;
    const enum options_answer answer = options_parse(&usage, argc, argv, &words);
    if (answer != OPTIONS_RUN) {
        return answer;
    }
    out->exercise = words.words[0];
    struct eh_plan_request plan = {0};
    if (bars != NULL && !play_bars_read(bars, &plan)) {
        (void)options_complain(&usage, "--bars: \"%s\" is not A-B, bar numbers from 1", bars);
        return OPTIONS_WRONG;
    }
    out->first_bar = plan.first_bar;
    out->last_bar = plan.last_bar;
    return OPTIONS_RUN;
}

/* Fills in what was not said and checks what was. */
static int choose_bars(struct show_options *options, const struct found_exercise *found) {
    const int count = eh_exercise_bar_count(found->exercise);
    options->first_bar = options->first_bar == 0 ? 1 : options->first_bar;
    options->last_bar = options->last_bar == 0 ? count : options->last_bar;
    if (options->first_bar > count || options->last_bar > count) {
        return cli_complain("--bars: %s has the bars 1 to %d", found->name, count);
    }
    if (options->first_bar > options->last_bar) {
        return cli_complain("--bars: bar %d comes after bar %d; say the earlier one first",
                            (int)options->first_bar, (int)options->last_bar);
    }
    return CLI_GOOD;
}

static int print_exercise(const struct show_options *options, const struct found_exercise *found) {
    struct eh_report_look look = cli_look();
    look.width = (int)options->width;
    struct eh_reading reading;
    struct eh_text text = {0};
    enum eh_status status = eh_reading_make(&reading, found->exercise);
    if (status == EH_OK) {
        status = eh_report_exercise(found->exercise, &reading, (int)options->first_bar,
                                    (int)options->last_bar, &look, &text);
    }
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_text_deinit(&text);
    eh_reading_deinit(&reading);
    return status == EH_OK ? CLI_GOOD
                           : cli_complain("%s: not enough memory to print it", found->name);
}

int cli_show(int argc, char **argv) {
    struct show_options options = {.width = EH_REPORT_WIDTH};
    const enum options_answer answer = parse(argc, argv, &options);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    struct found_exercise found;
    int result = exercise_find(&found, options.exercise, options.part);
    if (result == CLI_GOOD) {
        result = choose_bars(&options, &found);
        if (result == CLI_GOOD) {
            result = print_exercise(&options, &found);
        }
        exercise_deinit(&found);
    }
    return result;
}
