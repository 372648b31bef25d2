#include "calibrate_options.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/calibrate.h"
#include "pad_find.h"

static const char about[] =
    "Learns your pad: taps at six written dynamics, pairs of strokes close together,\n"
    "taps with the click; about three minutes. The steps follow one another by\n"
    "themselves, each with two bars to read what comes. A step of which too little\n"
    "was heard comes once more; three silent attempts in a row end it, Ctrl-C too.\n"
    "Kept for this port and player, and used from then on.";

static const char more[] =
    "--take reads a recording of the same course, from the first click on: its tempo\n"
    "map is the click, every step is there once (docs/calibration.md has the bars).\n"
    "It is kept only when --port says for which port. --demo lets the demo player\n"
    "calibrate a described pad (--demo=help lists them); that is never kept.";

static void print_pads(void) {
    size_t count = 0;
    const struct eh_demo_pad *pads = eh_demo_pads(&count);
    puts("Pads for the demo player: --demo=NAME; without a name the first\n");
    for (size_t i = 0; i < count; i++) {
        printf("  %-11s %s\n", pads[i].name, pads[i].about);
    }
}

static int count_sources(const struct calibrate_options *options) {
    return (options->demo != NULL) + (options->take != NULL) +
           (options->port != NULL && options->take == NULL);
}

/* What a table of options cannot check. */
static enum options_answer check(struct calibrate_options *options,
                                 const struct command_usage *usage) {
    if (count_sources(options) > 1) {
        (void)options_complain(usage, "--demo, --take and a port: one player at a time");
        return OPTIONS_WRONG;
    }
    if (!pad_player_fits(usage, options->player)) {
        return OPTIONS_WRONG;
    }
    if (options->fast && options->demo == NULL) {
        (void)options_complain(usage, "--fast: only the demo player can play faster than time");
        return OPTIONS_WRONG;
    }
    if (options->demo != NULL) {
        options->demo_pad = eh_demo_pad_find(options->demo);
        if (options->demo_pad == NULL) {
            (void)options_complain(usage, "--demo: there is no pad \"%s\" (--demo=help lists them)",
                                   options->demo);
            return OPTIONS_WRONG;
        }
    }
    return OPTIONS_RUN;
}

static enum options_answer parse(struct calibrate_options *out, const struct command_usage *usage,
                                 int argc, char **argv) {
    struct command_words words;
    const enum options_answer answer = options_parse(usage, argc, argv, &words);
    if (answer != OPTIONS_RUN) {
        return answer;
    }
    if (out->demo != NULL && strcmp(out->demo, "help") == 0) {
        print_pads();
        return OPTIONS_DONE;
    }
    out->db = words.db;
    return check(out, usage);
}

enum options_answer calibrate_options_parse(struct calibrate_options *out, int argc, char **argv) {
    *out = (struct calibrate_options){
        .tempo = NAN, .taps = EH_CALIBRATE_TAPS, .start = 1, .volume = 50};
    const struct option_row rows[] = {
        OPTION_ROW_TEXT("port", "TEXT", "the pad: number or part of a name, or virtual", out->port),
        OPTION_ROW_PLAYER(out->player),
        OPTION_ROW_TEXT("pad", "FILE", "start from this file's notes and settings", out->pad),
        OPTION_ROW_NUMBER("tempo", "BPM", "of the click; else 100", out->tempo,
                          EH_CALIBRATE_BPM_LEAST, EH_CALIBRATE_BPM_MOST),
        OPTION_ROW_COUNT("taps", "N", "taps a step, last three: four times; else 8", out->taps,
                         EH_CALIBRATE_TAPS_LEAST, EH_CALIBRATE_TAPS_MOST),
        OPTION_ROW_TEXT("take", "FILE", "a Standard MIDI File in which the course was played",
                        out->take),
        OPTION_ROW_COUNT("start", "BAR", "of that file with its first click; else 1", out->start, 1,
                         9999),
        {.name = "demo",
         .argument = "PAD",
         .help = "the demo player plays, on a pad that is described",
         .kind = OPTION_OPTIONAL_TEXT,
         .target.text = &out->demo},
        OPTION_ROW_COUNT("seed", "N", "of the demo player's chance; else 0", out->seed, 0, 1e15),
        OPTION_ROW_FLAG("fast", "the demo player does not wait for the clock", out->fast),
        OPTION_ROW_TEXT("save-pad", "FILE", "write what was found into a new pad file",
                        out->save_pad),
        OPTION_ROW_TEXT("save-taps", "FILE", "write what was played into a new MIDI file",
                        out->save_taps),
        OPTION_ROW_COUNT("click-volume", "V", "how loud; else 50", out->volume, 0, 100),
        OPTION_ROW_FLAG("no-sound", "the beat is shown in the terminal", out->no_sound),
        OPTION_ROW_TEXT("audio", "TEXT", "the click's device: a number or part of its name",
                        out->audio),
    };
    const struct command_usage usage = {.name = "calibrate",
                                        .arguments = "",
                                        .about = about,
                                        .more = more,
                                        .options = rows,
                                        .option_count = sizeof rows / sizeof rows[0],
                                        .least = 0,
                                        .most = 0};
    return parse(out, &usage, argc, argv);
}
