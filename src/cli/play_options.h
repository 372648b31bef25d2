/* What the player asked `evenhand play` for. */
#ifndef EVENHAND_CLI_PLAY_OPTIONS_H
#define EVENHAND_CLI_PLAY_OPTIONS_H

#include <stdbool.h>
#include <stdint.h>

#include "evenhand/demo.h"
#include "evenhand/plan.h"
#include "options.h"

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
    bool json, no_click, fast;
    struct eh_plan_request plan; /* bars and passes */
    struct eh_demo_fault fault;
};

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

/* Reads it into PLAN and FAULT. A complaint has been printed when the answer is OPTIONS_WRONG. */
enum options_answer play_ask_read(const struct command_usage *usage, const struct play_ask *ask,
                                  struct eh_plan_request *plan, struct eh_demo_fault *fault);

/* Reads "5", "5-8", "-8" or "5-" into the bars of PLAN. False: it is none of these. */
bool play_bars_read(const char *text, struct eh_plan_request *plan);

/* Prints the demo player's faults to standard output, as what OPTION takes. */
void play_print_faults(const char *option);

#endif
