/* The parts of `evenhand audition`. */
#ifndef EVENHAND_CLI_AUDITION_H
#define EVENHAND_CLI_AUDITION_H

#include "evenhand/judgement.h"
#include "play_options.h"

struct audition_options {
    struct play_options play;
    const char *of; /* "run:12": the sheet of that run; NULL: play */
    int64_t run;    /* OF: its number */
    bool choose;    /* the history is asked for a tempo */
};

enum options_answer audition_options_parse(struct audition_options *out, int argc, char **argv);

/* What a sheet is about. */
struct audition_sheet {
    const struct eh_judgement *judgement;
    const char *name; /* the exercise, as it is typed */
    int64_t run;      /* its number; 0: it was not kept */
    int64_t played_utc_s;
    int32_t utc_offset_s;
};

/* Prints it to standard output. Returns CLI_GOOD, or CLI_FAILED after a complaint. */
int audition_sheet_print(const struct audition_sheet *sheet);

/* The sheet, or the document, of a stored run. */
int audition_of(const struct audition_options *options);

/* The fastest tempo at which the piece has been clean, from the history. */
int audition_choose(const struct audition_options *options);

#endif
