/* What the player asked `evenhand play` for. */
#ifndef EVENHAND_CLI_PLAY_OPTIONS_H
#define EVENHAND_CLI_PLAY_OPTIONS_H

#include <stdbool.h>
#include <stdint.h>

#include "evenhand/demo.h"
#include "evenhand/free_tempo.h"
#include "evenhand/plan.h"
#include "evenhand/practice.h"
#include "exercise_find.h"
#include "options.h"
#include "pad_find.h"

struct play_options {
    const char *exercise;
    const char *part;  /* of a score; NULL: not given */
    const char *port;  /* NULL: not given */
    const char *style; /* NULL: the exercise's */
    const char *bars;  /* NULL: all */
    const char *demo;  /* NULL: a pad; else the fault's name, "" for none */
    const char *audio;
    const char *pad;     /* NULL: the one kept, or the default */
    const char *through; /* the demo player's pad; NULL: it reports everything */
    const char *player;  /* NULL: nobody named */
    const char *db;
    double tempo; /* NAN: the exercise's start tempo */
    int64_t passes, seed, subdivision, count_in, volume;
    int64_t count_off; /* no click: taps of the player's own; 0: no count at all; -1: the click
                          counts in */
    bool json, no_click, no_sound, fast;
    struct eh_plan_request plan; /* bars and passes */
    struct eh_demo_fault faults[EH_DEMO_FAULTS_MAX];
    size_t fault_count;
};

/* The rows of what every practising command understands, with their targets in OPTIONS. */
#define PLAY_COMMON_ROWS(OPTIONS)                                                                  \
    OPTION_ROW_TEXT("port", "TEXT", "the pad: number or part of a name, or virtual",               \
                    (OPTIONS)->port),                                                              \
        OPTION_ROW_PAD((OPTIONS)->pad), OPTION_ROW_PLAYER((OPTIONS)->player),                      \
        OPTION_ROW_TEXT("style", "NAME", "concert, rudimental, or a style file of your own",       \
                        (OPTIONS)->style),                                                         \
        {.name = "demo",                                                                           \
         .argument = "FAULT",                                                                      \
         .help = "the demo player plays, with a fault if one is named",                            \
         .kind = OPTION_OPTIONAL_TEXT,                                                             \
         .target.text = &(OPTIONS)->demo},                                                         \
        EXERCISE_PART_ROW((OPTIONS)->part),                                                        \
        OPTION_ROW_TEXT("through", "FILE", "the demo player plays on the pad of this file",        \
                        (OPTIONS)->through),                                                       \
        OPTION_ROW_COUNT("seed", "N", "of the demo player's chance; else 0", (OPTIONS)->seed, 0,   \
                         1e15),                                                                    \
        OPTION_ROW_FLAG("fast", "the demo player does not wait for the clock", (OPTIONS)->fast),   \
        OPTION_ROW_COUNT("count-in", "BARS", "bars counted in; else 1", (OPTIONS)->count_in, 1,    \
                         EH_COUNT_IN_BARS_MAX),                                                    \
        OPTION_ROW_COUNT("subdivision", "N", "clicks a beat; else 1", (OPTIONS)->subdivision, 1,   \
                         EH_SUBDIVISION_MAX),                                                      \
        OPTION_ROW_COUNT("click-volume", "V", "how loud; else 50", (OPTIONS)->volume, 0, 100),     \
        OPTION_ROW_FLAG("no-sound", "the beat is shown in the terminal", (OPTIONS)->no_sound),     \
        OPTION_ROW_TEXT("audio", "TEXT", "the click's device: a number or part of its name",       \
                        (OPTIONS)->audio)

/* What holds where nothing is said. */
struct play_options play_options_default(void);

/* Parses ARGV by USAGE and takes the exercise, which must be there (but with --demo=help), and the
 * history's file. A complaint has been printed when the answer is OPTIONS_WRONG. */
enum options_answer play_options_take(struct play_options *options,
                                      const struct command_usage *usage, int argc, char **argv);

/* Whether --demo=help asks for the faults. */
bool play_options_asks_help(const struct play_options *options);

/* Checks what the table cannot, after options_parse: one player at a time, the demo player's own
 * options and faults, the bars. --demo=help is answered (OPTIONS_DONE). A complaint has been
 * printed when the answer is OPTIONS_WRONG. */
enum options_answer play_options_settle(struct play_options *options,
                                        const struct command_usage *usage);

/* Reads the command line of `play`. A complaint has been printed when the answer is
 * OPTIONS_WRONG. */
enum options_answer play_options_parse(struct play_options *out, int argc, char **argv);

/* What `play` and `demo` ask for alike. */
struct play_ask {
    const char *bars; /* NULL: all */
    int64_t passes;
    const char *fault_option; /* the option's name, for complaints */
    const char *fault;        /* NULL: no demo player */
};

/* Reads it into PLAN and FAULTS, which has room for EH_DEMO_FAULTS_MAX. A complaint has been
 * printed when the answer is OPTIONS_WRONG. */
enum options_answer play_ask_read(const struct command_usage *usage, const struct play_ask *ask,
                                  struct eh_plan_request *plan, struct eh_demo_fault *faults,
                                  size_t *fault_count);

/* --count-off, as `judge`, `play` and `demo` have it: 0 or 2 .. EH_COUNT_OFF_MAX taps. */
#define OPTION_ROW_COUNT_OFF(TARGET)                                                               \
    OPTION_ROW_COUNT("count-off", "N", "N even taps come first; 0: none", TARGET, 0,               \
                     EH_COUNT_OFF_MAX)

/* Whether a count-off of TAPS can be (negative: not given). A complaint has been printed when not.
 */
bool play_count_off_fits(const struct command_usage *usage, int64_t taps);

/* Reads "5", "5-8", "-8" or "5-" into the bars of PLAN. False: it is none of these. */
bool play_bars_read(const char *text, struct eh_plan_request *plan);

/* The taps that come first; 0 where there are none. */
int32_t play_count_off(const struct play_options *options);

/* Prints the demo player's faults to standard output, as what OPTION takes. */
void play_print_faults(const char *option);

#endif
