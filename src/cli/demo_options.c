#include "demo_options.h"

#include <math.h>
#include <string.h>

#include "command.h"
#include "evenhand/practice.h"
#include "exercise_find.h"
#include "play_options.h"

static const char about[] =
    "Lets the demo player play an exercise out of a MIDI port, in real time, or\n"
    "writes it into a Standard MIDI File (--save). One bar is counted in, silently.";

static const char more[] =
    "The port is one of our own, evenhand:demo, unless another is named. --fault=help\n"
    "lists the faults; a seed repeats a performance exactly. With --count-off it\n"
    "plays as one who hears no click: N taps come first, and there are no breaks.";

static enum options_answer check(struct demo_options *options, const struct command_usage *usage) {
    if (options->exercise == NULL) {
        (void)options_complain(usage, "something is missing: evenhand demo EXERCISE");
        return OPTIONS_WRONG;
    }
    if (options->save != NULL && options->port != NULL) {
        (void)options_complain(usage, "--save and --port: either a file or a port");
        return OPTIONS_WRONG;
    }
    const struct play_ask ask = {options->bars, options->passes, "fault", options->fault_text};
    return play_count_off_fits(usage, options->count_off)
               ? play_ask_read(usage, &ask, &options->plan, options->faults, &options->fault_count)
               : OPTIONS_WRONG;
}

static enum options_answer parse(struct demo_options *out, const struct command_usage *usage,
                                 int argc, char **argv) {
    struct command_words words;
    const enum options_answer answer = options_parse(usage, argc, argv, &words);
    if (answer != OPTIONS_RUN) {
        return answer;
    }
    if (out->fault_text != NULL && strcmp(out->fault_text, "help") == 0) {
        play_print_faults("fault");
        return OPTIONS_DONE;
    }
    out->exercise = words.words[0];
    out->db = words.db;
    return check(out, usage);
}

enum options_answer demo_options_parse(struct demo_options *out, int argc, char **argv) {
    *out = (struct demo_options){.tempo = NAN, .passes = 1, .count_in = 1, .count_off = -1};
    const struct option_row rows[] = {
        OPTION_ROW_TEXT("fault", "NAME[:SIZE]", "with this fault; --fault=help lists them",
                        out->fault_text),
        OPTION_ROW_TEXT("save", "FILE.mid", "write a new MIDI file instead of playing", out->save),
        OPTION_ROW_TEXT("port", "TEXT", "MIDI output: a number, part of a name, or virtual",
                        out->port),
        OPTION_ROW_TEXT("through", "FILE", "on the pad that this file describes", out->through),
        OPTION_ROW_NUMBER("tempo", "BPM", "quarters a minute (20 to 400), else the exercise's",
                          out->tempo, -HUGE_VAL, HUGE_VAL),
        OPTION_ROW_TEXT("style", "NAME", "accents that suit this style, else the exercise's",
                        out->style),
        OPTION_ROW_COUNT("passes", "N", "how often in a row", out->passes, 1, EH_PASSES_MAX),
        OPTION_ROW_TEXT("bars", "A-B", "these bars only", out->bars),
        OPTION_ROW_COUNT("seed", "N", "of the demo player's chance; else 0", out->seed, 0, 1e15),
        OPTION_ROW_COUNT("count-in", "BARS", "bars counted in before each pass; else 1",
                         out->count_in, 1, EH_COUNT_IN_BARS_MAX),
        OPTION_ROW_COUNT_OFF(out->count_off),
        EXERCISE_PART_ROW(out->part),
        OPTION_ROW_FLAG("exact", "as written, without a person's scatter", out->exact),
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
