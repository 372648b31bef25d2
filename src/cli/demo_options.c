#include "demo_options.h"

#include <string.h>

#include "command.h"
#include "evenhand/practice.h"
#include "play_options.h"

static const char about[] =
    "Lets the demo player play an exercise out of a MIDI port, in real time, or\n"
    "writes it into a Standard MIDI File (--save). One bar is counted in, silently.";

static const char more[] =
    "The port is one of our own, evenhand:demo, unless another is named. --fault=help\n"
    "lists the faults; a seed repeats a performance exactly.";

static enum options_answer check(struct demo_options *options, const struct command_usage *usage) {
    if (options->exercise == NULL) {
        (void)options_complain(usage, "something is missing: evenhand demo EXERCISE");
        return OPTIONS_WRONG;
    }
    if (options->save != NULL && options->port != NULL) {
        (void)options_complain(usage, "--save and --port: either a file or a port");
        return OPTIONS_WRONG;
    }
    if (options->bars != NULL && !play_bars_read(options->bars, &options->plan)) {
        (void)options_complain(usage, "--bars: \"%s\" is not A-B, bar numbers from 1",
                               options->bars);
        return OPTIONS_WRONG;
    }
    struct eh_error error;
    eh_error_clear(&error);
    if (options->fault_text != NULL &&
        eh_demo_fault_read(&options->fault, options->fault_text, &error) != EH_OK) {
        (void)options_complain(usage, "--fault: %s", error.text);
        return OPTIONS_WRONG;
    }
    options->plan.passes = (int32_t)options->passes;
    return OPTIONS_RUN;
}

static enum options_answer parse(struct demo_options *out, const struct command_usage *usage,
                                 int argc, char **argv) {
    struct command_words words;
    const enum options_answer answer = options_parse(usage, argc, argv, &words);
    if (answer != OPTIONS_RUN) {
        return answer;
    }
    if (out->fault_text != NULL && strcmp(out->fault_text, "help") == 0) {
        play_print_faults();
        return OPTIONS_DONE;
    }
    out->exercise = words.words[0];
    out->db = words.db;
    return check(out, usage);
}

enum options_answer demo_options_parse(struct demo_options *out, int argc, char **argv) {
    *out = (struct demo_options){.passes = 1, .count_in = 1};
    const struct option_row rows[] = {
        {.name = "fault",
         .argument = "NAME[:SIZE]",
         .help = "with this fault; --fault=help lists them",
         .kind = OPTION_TEXT,
         .target.text = &out->fault_text},
        {.name = "save",
         .argument = "FILE.mid",
         .help = "write a new MIDI file instead of playing",
         .kind = OPTION_TEXT,
         .target.text = &out->save},
        {.name = "port",
         .argument = "TEXT",
         .help = "MIDI output: a number, part of a name, or virtual",
         .kind = OPTION_TEXT,
         .target.text = &out->port},
        {.name = "tempo",
         .argument = "BPM",
         .help = "quarters a minute, else the exercise's own",
         .kind = OPTION_NUMBER,
         .target.number = &out->tempo,
         .low = EH_TEMPO_MIN,
         .high = EH_TEMPO_MAX},
        {.name = "style",
         .argument = "NAME",
         .help = "accents that suit this style (else the exercise's)",
         .kind = OPTION_TEXT,
         .target.text = &out->style},
        {.name = "passes",
         .argument = "N",
         .help = "how often in a row",
         .kind = OPTION_INTEGER,
         .target.integer = &out->passes,
         .low = 1,
         .high = EH_PASSES_MAX},
        {.name = "bars",
         .argument = "A-B",
         .help = "these bars only",
         .kind = OPTION_TEXT,
         .target.text = &out->bars},
        {.name = "seed",
         .argument = "N",
         .help = "of the player's chance (else 0)",
         .kind = OPTION_INTEGER,
         .target.integer = &out->seed,
         .low = 0,
         .high = 1e15},
        {.name = "count-in",
         .argument = "BARS",
         .help = "bars counted in before each pass (else 1)",
         .kind = OPTION_INTEGER,
         .target.integer = &out->count_in,
         .low = 1,
         .high = EH_COUNT_IN_BARS_MAX},
        {.name = "exact",
         .help = "as written, without a person's scatter",
         .kind = OPTION_FLAG,
         .target.flag = &out->exact},
    };
    const struct command_usage usage = {.name = "demo",
                                        .arguments = "EXERCISE",
                                        .about = about,
                                        .more = more,
                                        .options = rows,
                                        .option_count = sizeof rows / sizeof rows[0],
                                        .least = 0,
                                        .most = 1};
    return parse(out, &usage, argc, argv);
}
