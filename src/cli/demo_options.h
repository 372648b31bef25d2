/* What `evenhand demo` was asked for. */
#ifndef EVENHAND_CLI_DEMO_OPTIONS_H
#define EVENHAND_CLI_DEMO_OPTIONS_H

#include "evenhand/demo.h"
#include "evenhand/plan.h"
#include "options.h"

struct demo_options {
    const char *exercise, *style, *bars, *fault_text, *port, *save, *part, *through, *db;
    double tempo; /* NAN: the exercise's start tempo */
    int64_t passes, seed, count_in;
    int64_t count_off; /* -1: not given, and a silent bar is counted in */
    bool exact;
    struct eh_plan_request plan;
    struct eh_demo_fault faults[EH_DEMO_FAULTS_MAX];
    size_t fault_count;
};

/* Reads the command line. A complaint has been printed when the answer is OPTIONS_WRONG. */
enum options_answer demo_options_parse(struct demo_options *out, int argc, char **argv);

#endif
