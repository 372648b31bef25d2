/* evenhand judge */
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "evenhand/report.h"
#include "evenhand/report_pulse.h"
#include "judging.h"
#include "look.h"
#include "pulse_of.h"
#include "say.h"
#include "style_find.h"

struct judge_options {
    struct judge_ask ask;
    const char *style;
    bool json;
};

static int find_style(const struct judge_options *options, const struct judging *judging,
                      struct eh_style *out) {
    const struct eh_run_info *info = &judging->found.run.info;
    if (options->style == NULL && judging->found.stored && info->style_text[0] != '\0') {
        return style_from_text(out, options->ask.take, info->style_text, strlen(info->style_text));
    }
    return style_find(out, options->style, judging->exercise.exercise);
}

static int print_judgement(const struct judge_options *options, const struct judging *judging,
                           const struct eh_judgement *judgement) {
    struct eh_text text = {0};
    struct eh_report_look look = cli_look();
    look.played_utc_s = judging->found.run.info.started_utc_s;
    struct eh_pulse pulse;
    struct eh_error error;
    eh_error_clear(&error);
    enum eh_status status = pulse_of(&pulse, judgement, judging->silent_bars, &error);
    if (status != EH_OK) {
        return cli_complain_error(options->ask.take, &error);
    }
    status = options->json ? eh_report_json_pulse(judgement, &pulse, &text)
                           : eh_report_judgement_pulse(judgement, &pulse, &look, &text);
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_text_deinit(&text);
    eh_pulse_deinit(&pulse);
    return status == EH_OK ? CLI_GOOD
                           : cli_complain("%s: %s", options->ask.take, eh_status_text(status));
}

static int run_steps(const struct judge_options *options, struct judging *judging) {
    struct eh_style style;
    struct eh_judgement *judgement = NULL;
    int result = judging_find(judging, &options->ask);
    if (result == CLI_GOOD) {
        result = find_style(options, judging, &style);
    }
    if (result == CLI_GOOD) {
        result = judging_place(judging);
    }
    if (result == CLI_GOOD) {
        result = judging_judge(judging, &style, &judgement);
    }
    if (result == CLI_GOOD) {
        result = print_judgement(options, judging, judgement);
    }
    eh_judgement_free(judgement);
    return result;
}

static enum options_answer parse(struct judge_options *options, int argc, char **argv) {
    const struct option_row rows[] = {
        {.name = "style",
         .argument = "NAME",
         .help = "concert, rudimental, or a style file of your own",
         .kind = OPTION_TEXT,
         .target.text = &options->style},
        JUDGE_ASK_ROWS(&options->ask),
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
    return judge_ask_parse(&options->ask, &usage, argc, argv);
}

int cli_judge(int argc, char **argv) {
    struct judge_options options = {.ask = {.count_off = -1}};
    const enum options_answer answer = parse(&options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    struct judging judging;
    const int result = run_steps(&options, &judging);
    judging_deinit(&judging);
    return result;
}
