/* evenhand judge */
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "evenhand/exercise_text.h"
#include "evenhand/judgement.h"
#include "evenhand/practice.h"
#include "evenhand/report.h"
#include "exercise_find.h"
#include "look.h"
#include "options.h"
#include "play_options.h"
#include "run_played.h"
#include "say.h"
#include "start_option.h"
#include "style_find.h"
#include "take_find.h"

struct judge_options {
    const char *exercise, *take, *db;
    const char *style;
    const char *start;
    struct pad_wish pad;
    const char *part;
    bool json;
    bool no_click;
    int64_t count_off; /* taps before the start; -1: not said */
    struct start_option at;
};

/* What was found by name, and the answer. */
struct judging {
    struct found_take found;
    struct found_exercise exercise;
    struct eh_style style;
    struct eh_judge_request request;
    struct eh_judgement *judgement;
};

/* A run that is asked for together with its own exercise is judged by the text as it was played,
 * so that the answer stays the same when the file has been changed since. */
static bool is_own_exercise(const struct judge_options *options, const struct judging *judging) {
    return judging->found.stored &&
           strcmp(options->exercise, judging->found.run.info.exercise) == 0 &&
           judging->found.run.info.exercise_text[0] != '\0';
}

static int find_exercise(const struct judge_options *options, struct judging *judging) {
    const struct eh_run_info *info = &judging->found.run.info;
    if (is_own_exercise(options, judging)) {
        return exercise_from_text(&judging->exercise, info->exercise, options->take,
                                  info->exercise_text, strlen(info->exercise_text));
    }
    return exercise_find(&judging->exercise, options->exercise, options->part);
}

/* The exercise of the run, whatever name it was asked for by. */
static bool is_same_music(const struct judging *judging) {
    struct eh_text text = {0};
    const bool same = judging->found.stored &&
                      eh_exercise_print(judging->exercise.exercise, &text) == EH_OK &&
                      strcmp(eh_text_string(&text), judging->found.run.info.exercise_text) == 0;
    eh_text_deinit(&text);
    return same;
}

static int find_style(const struct judge_options *options, struct judging *judging) {
    const struct eh_run_info *info = &judging->found.run.info;
    if (options->style == NULL && judging->found.stored && info->style_text[0] != '\0') {
        return style_from_text(&judging->style, options->take, info->style_text,
                               strlen(info->style_text));
    }
    return style_find(&judging->style, options->style, judging->exercise.exercise);
}

/* What of a run of this exercise was played. */
static enum eh_status find_played(struct judging *judging, struct eh_error *error) {
    const struct eh_run_info *info = &judging->found.run.info;
    const struct run_asked asked = {.plan = &info->plan,
                                    .no_click = info->no_click,
                                    .count_off = judging->request.count_off,
                                    .complete = judging->found.run.ended == EH_RUN_COMPLETE};
    const bool no_click = judging->request.no_click; /* as the user wants it judged */
    const enum eh_status status =
        run_played(judging->exercise.exercise, &judging->found.pad, &asked, &judging->found.take,
                   &judging->request, error);
    judging->request.no_click = no_click;
    return status;
}

/* Where to look: where the user says; else, in a run of this exercise, where it was begun, for the
 * bars and passes that were played; else wherever it fits best. */
static int make_request(const struct judge_options *options, struct judging *judging) {
    struct eh_judge_request *request = &judging->request;
    const struct found_take *found = &judging->found;
    struct eh_error error;
    eh_error_clear(&error);
    request->find_start = true;
    request->no_click = options->no_click || found->run.info.no_click;
    request->count_off =
        options->count_off >= 0 ? (int32_t)options->count_off : found->run.info.count_off;
    if (is_same_music(judging)) {
        if (find_played(judging, &error) != EH_OK) {
            return cli_complain_error(options->take, &error);
        }
    }
    if (options->count_off >= 0 && !request->no_click) {
        (void)cli_complain("--count-off: %s was played to a click; --no-click judges it without",
                           options->take);
        return CLI_USAGE;
    }
    if (options->start != NULL && request->no_click) {
        (void)cli_complain("--start: %s was played without a click, and its start is found by "
                           "itself",
                           options->take);
        return CLI_USAGE;
    }
    if (options->start != NULL) {
        request->find_start = false;
        if (!start_option_place(&options->at, &found->take, &request->start)) {
            (void)cli_complain("judge: --start: bar %d of the take has no such beat as %s",
                               options->at.bar, options->start);
            return CLI_USAGE;
        }
    }
    return CLI_GOOD;
}

static int print_judgement(const struct judge_options *options, const struct judging *judging) {
    const struct eh_judgement *judgement = judging->judgement;
    struct eh_text text = {0};
    struct eh_report_look look = cli_look();
    look.played_utc_s = judging->found.run.info.started_utc_s;
    const enum eh_status status = options->json ? eh_report_json(judgement, &text)
                                                : eh_report_judgement(judgement, &look, &text);
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_text_deinit(&text);
    return status == EH_OK ? CLI_GOOD
                           : cli_complain("%s: %s", options->take, eh_status_text(status));
}

static int judge_found(const struct judge_options *options, struct judging *judging) {
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_judge(&judging->judgement, judging->exercise.exercise, &judging->found.take,
                 &judging->found.pad, &judging->style, &judging->request, &error) != EH_OK) {
        return cli_complain_error(options->take, &error);
    }
    if (judging->judgement->matched == 0) {
        return cli_complain("%s: the exercise is not in this take from %s on: not one of its "
                            "strokes finds a hit there",
                            options->take, options->start == NULL ? "its start" : options->start);
    }
    return print_judgement(options, judging);
}

static int run_steps(const struct judge_options *options, struct judging *judging) {
    int result = take_find(&judging->found, options->take, &options->pad);
    if (result == CLI_GOOD) {
        result = find_exercise(options, judging);
    }
    if (result == CLI_GOOD) {
        result = find_style(options, judging);
    }
    if (result == CLI_GOOD) {
        result = make_request(options, judging);
    }
    return result == CLI_GOOD ? judge_found(options, judging) : result;
}

/* What a table of options cannot check. */
static enum options_answer check(struct judge_options *options, const struct command_usage *usage) {
    if (options->start != NULL && !start_option_read(options->start, &options->at)) {
        (void)options_complain(usage, "--start: \"%s\" is not BAR[:BEAT], both from 1",
                               options->start);
        return OPTIONS_WRONG;
    }
    if (options->start != NULL && options->no_click) {
        (void)options_complain(usage, "--start: without a click the start is found by itself");
        return OPTIONS_WRONG;
    }
    if (!play_count_off_fits(usage, options->count_off)) {
        return OPTIONS_WRONG;
    }
    const bool stored = strncmp(options->take, "run:", 4) == 0; /* it knows whether there was one */
    if (options->count_off >= 0 && !options->no_click && !stored) {
        (void)options_complain(usage, "--count-off: goes with --no-click");
        return OPTIONS_WRONG;
    }
    if (options->pad.file != NULL && options->pad.port != NULL) {
        (void)options_complain(usage, "--pad and --port: one pad at a time");
        return OPTIONS_WRONG;
    }
    if (options->pad.player != NULL && options->pad.port == NULL) {
        (void)options_complain(usage, "--player: say with --port TEXT on which port");
        return OPTIONS_WRONG;
    }
    return pad_player_fits(usage, options->pad.player) ? OPTIONS_RUN : OPTIONS_WRONG;
}

static enum options_answer parse(struct judge_options *options, int argc, char **argv) {
    const struct option_row rows[] = {
        {.name = "style",
         .argument = "NAME",
         .help = "concert, rudimental, or a style file of your own",
         .kind = OPTION_TEXT,
         .target.text = &options->style},
        OPTION_ROW_PAD(options->pad.file),
        OPTION_ROW_TEXT("port", "TEXT", "the pad as it is kept for this MIDI port",
                        options->pad.port),
        OPTION_ROW_PLAYER(options->pad.player),
        {.name = "start",
         .argument = "BAR[:BEAT]",
         .help = "where in the file the exercise begins",
         .kind = OPTION_TEXT,
         .target.text = &options->start},
        OPTION_ROW_FLAG("no-click", "played without a click, to the player's own tempo",
                        options->no_click),
        OPTION_ROW_COUNT_OFF(options->count_off),
        EXERCISE_PART_ROW(options->part),
        {.name = "json",
         .help = "one JSON document instead of the report",
         .kind = OPTION_FLAG,
         .target.flag = &options->json},
    };
    const struct command_usage usage = {
        .name = "judge",
        .arguments = "EXERCISE TAKE",
        .about = "Judges a performance. TAKE is a Standard MIDI File, whose tempo map is the\n"
                 "click, or a stored run (run:12). Where the exercise begins is found by itself.",
        .more = "--start counts the file's bars from 1 and quarter notes from the bar line,\n"
                "from 1 (5, 5:2, 5:5/2). Without --style: the style that the run was played\n"
                "with, else the one that the exercise names, else rudimental. Without --pad\n"
                "and --port: the pad that the run was played on, else the default.\n"
                "docs/judgement.md describes the JSON document.",
        .options = rows,
        .option_count = sizeof rows / sizeof rows[0],
        .least = 2,
        .most = 2,
    };
    struct command_words words;
    const enum options_answer answer = options_parse(&usage, argc, argv, &words);
    options->exercise = words.words[0];
    options->take = words.words[1];
    options->db = words.db;
    options->pad.db = words.db;
    options->pad.must = options->pad.port != NULL;
    return answer == OPTIONS_RUN ? check(options, &usage) : answer;
}

int cli_judge(int argc, char **argv) {
    struct judge_options options = {.count_off = -1};
    const enum options_answer answer = parse(&options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    struct judging judging = {0};
    const int result = run_steps(&options, &judging);
    eh_judgement_free(judging.judgement);
    exercise_deinit(&judging.exercise);
    take_deinit(&judging.found);
    return result;
}
