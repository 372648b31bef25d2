#include "play_options.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "evenhand/practice.h"
#include "exercise_find.h"
#include "pad_find.h"

static const char about[] =
    "Practises an exercise: a count-in, the click, a line after each bar, and at the\n"
    "end what to work on. Nothing needs to be typed: the run ends with the exercise,\n"
    "or when you have been silent for two bars (at least four seconds). Ctrl-C ends\n"
    "it too, and keeps and judges what was played.";

static const char more[] =
    "Without a pad, --demo lets a demo player play, in time and on the same path as a\n"
    "pad; --demo=NAME[:SIZE][@TEMPO][/BARS] gives it a fault (above a tempo, in some\n"
    "bars; several with commas between them), --demo=help lists them. With\n"
    "--json, standard output holds the judgement document at the end, nothing else.\n"
    "With --no-click the click counts you in and falls silent: play at a tempo of\n"
    "your own, which is found and judged as by \"judge --no-click\". --count-off 0:\n"
    "nothing counts, your first stroke opens the run. --count-off 4: tap four even\n"
    "beats on the pad and begin on the next one.\n"
    "Every run is kept: \"evenhand history\" lists them, and\n"
    "\"evenhand judge EXERCISE run:N\" judges one again.";

bool play_bars_read(const char *text, struct eh_plan_request *plan) {
    int64_t bars[2] = {0, 0};
    const char *dash = strchr(text, '-');
    char first[24] = "";
    const size_t length = dash != NULL ? (size_t)(dash - text) : strlen(text);
    if (length >= sizeof first || strcmp(text, "-") == 0) {
        return false;
    }
    (void)snprintf(first, sizeof first, "%.*s", (int)length, text);
    if (length > 0 && (!options_read_integer(first, &bars[0]) || bars[0] < 1)) {
        return false;
    }
    if (dash == NULL) {
        bars[1] = bars[0];
    } else if (dash[1] != '\0' && (!options_read_integer(dash + 1, &bars[1]) || bars[1] < 1)) {
        return false;
    }
    if (bars[0] > INT32_MAX || bars[1] > INT32_MAX || (bars[0] == 0 && bars[1] == 0)) {
        return false;
    }
    plan->first_bar = (int32_t)bars[0];
    plan->last_bar = (int32_t)bars[1];
    return true;
}

void play_print_faults(const char *option) {
    size_t count = 0;
    const struct eh_demo_name *names = eh_demo_names(&count);
    printf("Faults of the demo player: --%s=NAME or --%s=NAME:SIZE\n\n", option, option);
    for (size_t i = 0; i < count; i++) {
        printf("  %-23s %s\n", names[i].name, names[i].about);
        printf("  %-23s size: ", "");
        if (names[i].size == names[i].size) {
            printf("%g, ", names[i].size);
        }
        printf("%g to %g %s\n", names[i].low, names[i].high, names[i].unit);
    }
    puts("\n@TEMPO behind it (late-left-seconds:30@92): it shows only above that tempo, in\n"
         "quarter notes a minute. /BARS last (late-left-seconds/5-8, missed:20@92/13):\n"
         "only in these written bars; a tempo changes the first time they come, stop,\n"
         "skip, repeat and wait happen where the first begins. Several faults stand with\n"
         "commas between them.");
    puts("\nWithout a fault it plays like a good player: nobody is a machine.");
}

enum options_answer play_ask_read(const struct command_usage *usage, const struct play_ask *ask,
                                  struct eh_plan_request *plan, struct eh_demo_fault *faults,
                                  size_t *fault_count) {
    if (ask->bars != NULL && !play_bars_read(ask->bars, plan)) {
        (void)options_complain(usage, "--bars: \"%s\" is not A-B, bar numbers from 1", ask->bars);
        return OPTIONS_WRONG;
    }
    struct eh_error error;
    eh_error_clear(&error);
    if (ask->fault != NULL &&
        eh_demo_faults_read(faults, fault_count, ask->fault, &error) != EH_OK) {
        (void)options_complain(usage, "--%s: %s (--%s=help lists them all)", ask->fault_option,
                               error.text, ask->fault_option);
        return OPTIONS_WRONG;
    }
    plan->passes = (int32_t)ask->passes;
    return OPTIONS_RUN;
}

bool play_count_off_fits(const struct command_usage *usage, int64_t taps) {
    if (taps == 1) {
        (void)options_complain(usage, "--count-off: 1 is outside 2 to %d (0: none)",
                               EH_COUNT_OFF_MAX);
    }
    return taps != 1;
}

int32_t play_count_off(const struct play_options *options) {
    return options->count_off > 0 ? (int32_t)options->count_off : 0;
}

/* How the run is counted. */
static bool check_click(const struct play_options *options, const struct command_usage *usage) {
    if (options->count_off >= 0 && !options->no_click) {
        (void)options_complain(usage, "--count-off: goes with --no-click");
        return false;
    }
    if (options->count_off >= 0 && options->count_in > 1) {
        (void)options_complain(usage,
                               "--count-in and --count-off: either the click counts, or you");
        return false;
    }
    return play_count_off_fits(usage, options->count_off);
}

static enum options_answer check_player(const struct play_options *options,
                                        const struct command_usage *usage) {
    if (options->demo != NULL && options->port != NULL) {
        (void)options_complain(usage, "--demo and --port: one player at a time");
        return OPTIONS_WRONG;
    }
    if (!pad_player_fits(usage, options->player)) {
        return OPTIONS_WRONG;
    }
    if (options->through != NULL && options->demo == NULL) {
        (void)options_complain(usage, "--through: only the demo player plays on a described pad");
        return OPTIONS_WRONG;
    }
    if (options->fast && options->demo == NULL) {
        (void)options_complain(usage, "--fast: only the demo player can play faster than time");
        return OPTIONS_WRONG;
    }
    return OPTIONS_RUN;
}

struct play_options play_options_default(void) {
    return (struct play_options){
        .tempo = NAN, .passes = 1, .subdivision = 1, .count_in = 1, .volume = 50, .count_off = -1};
}

bool play_options_asks_help(const struct play_options *options) {
    return options->demo != NULL && strcmp(options->demo, "help") == 0;
}

enum options_answer play_options_take(struct play_options *options,
                                      const struct command_usage *usage, int argc, char **argv) {
    struct command_words words;
    const enum options_answer answer = options_parse(usage, argc, argv, &words);
    if (answer != OPTIONS_RUN) {
        return answer;
    }
    options->exercise = words.words[0];
    options->db = words.db;
    if (options->exercise == NULL && !play_options_asks_help(options)) {
        (void)options_complain(usage, "something is missing: evenhand %s EXERCISE", usage->name);
        return OPTIONS_WRONG;
    }
    return OPTIONS_RUN;
}

enum options_answer play_options_settle(struct play_options *options,
                                        const struct command_usage *usage) {
    if (play_options_asks_help(options)) {
        play_print_faults("demo");
        return OPTIONS_DONE;
    }
    const enum options_answer answer = check_player(options, usage);
    const struct play_ask ask = {options->bars, options->passes, "demo", options->demo};
    return answer != OPTIONS_RUN
               ? answer
               : play_ask_read(usage, &ask, &options->plan, options->faults, &options->fault_count);
}

static enum options_answer parse(struct play_options *out, const struct command_usage *usage,
                                 int argc, char **argv) {
    const enum options_answer answer = play_options_take(out, usage, argc, argv);
    if (answer == OPTIONS_RUN && !play_options_asks_help(out) && !check_click(out, usage)) {
        return OPTIONS_WRONG;
    }
    return answer == OPTIONS_RUN ? play_options_settle(out, usage) : answer;
}

enum options_answer play_options_parse(struct play_options *out, int argc, char **argv) {
    *out = play_options_default();
    const struct option_row rows[] = {
        PLAY_COMMON_ROWS(out),
        OPTION_ROW_NUMBER("tempo", "BPM", "quarters a minute (20 to 400), else the exercise's",
                          out->tempo, -HUGE_VAL, HUGE_VAL),
        OPTION_ROW_COUNT("passes", "N", "how often in a row, each with its count-in", out->passes,
                         1, EH_PASSES_MAX),
        OPTION_ROW_TEXT("bars", "A-B", "these bars only", out->bars),
        OPTION_ROW_FLAG("json", "the judgement as one JSON document at the end", out->json),
        OPTION_ROW_FLAG("no-click", "the click falls silent after the count-in", out->no_click),
        OPTION_ROW_COUNT_OFF(out->count_off),
    };
    const struct command_usage usage = {.name = "play",
                                        .arguments = "EXERCISE",
                                        .about = about,
                                        .more = more,
                                        .options = rows,
                                        .option_count = sizeof rows / sizeof rows[0],
                                        .least = 0,
                                        .most = 1};
    return parse(out, &usage, argc, argv);
}
