/* What is asked for on the command line when a take is to be judged, found by name: the take, the
 * exercise, and where in the take it is looked for. */
#ifndef EVENHAND_CLI_JUDGING_H
#define EVENHAND_CLI_JUDGING_H

#include "evenhand/judgement.h"
#include "exercise_find.h"
#include "options.h"
#include "play_options.h"
#include "start_option.h"
#include "take_find.h"

struct judge_ask {
    const char *exercise, *take;
    const char *start; /* NULL: found by itself */
    const char *part;
    struct pad_wish pad;
    bool no_click;
    int64_t count_off;      /* taps before the start; -1: not said */
    struct start_option at; /* START as it was read */
};

/* The rows of it, with their targets in ASK. */
#define JUDGE_ASK_ROWS(ASK)                                                                        \
    OPTION_ROW_PAD((ASK)->pad.file),                                                               \
        OPTION_ROW_TEXT("port", "TEXT", "the pad as it is kept for this MIDI port",                \
                        (ASK)->pad.port),                                                          \
        OPTION_ROW_PLAYER((ASK)->pad.player),                                                      \
        OPTION_ROW_TEXT("start", "BAR[:BEAT]", "where in the file the exercise begins",            \
                        (ASK)->start),                                                             \
        OPTION_ROW_FLAG("no-click", "played without a click, to the player's own tempo",           \
                        (ASK)->no_click),                                                          \
        OPTION_ROW_COUNT_OFF((ASK)->count_off), EXERCISE_PART_ROW((ASK)->part)

/* Parses the command line of USAGE, whose arguments are EXERCISE and TAKE, and checks what a table
 * cannot. A complaint has been printed when the answer is OPTIONS_WRONG. */
enum options_answer judge_ask_parse(struct judge_ask *ask, const struct command_usage *usage,
                                    int argc, char **argv);

struct judging {
    const struct judge_ask *ask;
    struct found_take found;
    struct found_exercise exercise;
    struct eh_judge_request request;
    const char *silent_bars; /* of the run, where it is judged as it was played; else NULL */
    bool *silent;            /* owned; the same, as the request has it */
};

/* Finds the take and the exercise. Returns CLI_GOOD or, after a complaint, what the program leaves
 * with. OUT is given back with judging_deinit in any case; ASK must outlive it. */
int judging_find(struct judging *out, const struct judge_ask *ask);

/* Makes the request: where to look, and for what. Likewise. */
int judging_place(struct judging *judging);

/* Judges by STYLE. The judgement is the caller's. Likewise. */
int judging_judge(const struct judging *judging, const struct eh_style *style,
                  struct eh_judgement **out_judgement);

void judging_deinit(struct judging *judging);

#endif
