/* evenhand compare */
#include <stdio.h>

#include "command.h"
#include "evenhand/report.h"
#include "judging.h"
#include "look.h"
#include "say.h"
#include "style_pair.h"

struct compare_options {
    struct judge_ask ask;
    const char *styles;
    bool json;
};

static int print_both(const struct compare_options *options, const struct judging *judging,
                      struct eh_judgement *const both[2]) {
    struct eh_text text = {0};
    struct eh_report_look look = cli_look();
    look.played_utc_s = judging->found.run.info.started_utc_s;
    const enum eh_status status = options->json ? eh_report_compare_json(both[0], both[1], &text)
                                                : eh_report_compare(both[0], both[1], &look, &text);
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_text_deinit(&text);
    return status == EH_OK ? CLI_GOOD
                           : cli_complain("%s: %s", options->ask.take, eh_status_text(status));
}

static int run_steps(const struct compare_options *options, struct judging *judging) {
    struct eh_style styles[2];
    struct eh_judgement *both[2] = {NULL, NULL};
    int result = judging_find(judging, &options->ask);
    if (result == CLI_GOOD) {
        result = style_pair_find(styles, options->styles);
    }
    if (result == CLI_GOOD) {
        result = judging_place(judging);
    }
    for (int i = 0; i < 2 && result == CLI_GOOD; i++) {
        result = judging_judge(judging, &styles[i], &both[i]);
    }
    if (result == CLI_GOOD) {
        result = print_both(options, judging, both);
    }
    eh_judgement_free(both[0]);
    eh_judgement_free(both[1]);
    return result;
}

static enum options_answer parse(struct compare_options *options, int argc, char **argv) {
    const struct option_row rows[] = {
        OPTION_ROW_STYLES(options->styles),
        JUDGE_ASK_ROWS(&options->ask),
        OPTION_ROW_FLAG("json", "one JSON document with both judgements", options->json),
    };
    const struct command_usage usage = {
        .name = "compare",
        .arguments = "EXERCISE TAKE",
        .about = "Judges one take by two styles, side by side: what differs first, with the\n"
                 "limits of each and the reason, then what is the same. TAKE is a Standard MIDI\n"
                 "File or a stored run (run:12), as for \"evenhand judge\".",
        .more = "Styles are concert, rudimental, or a style file of your own. docs/styles.md says\n"
                "how they differ, and describes the JSON document.",
        .options = rows,
        .option_count = sizeof rows / sizeof rows[0],
        .least = 2,
        .most = 2,
    };
    return judge_ask_parse(&options->ask, &usage, argc, argv);
}

int cli_compare(int argc, char **argv) {
    struct compare_options options = {.ask = {.count_off = -1}};
    const enum options_answer answer = parse(&options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    struct judging judging;
    const int result = run_steps(&options, &judging);
    judging_deinit(&judging);
    return result;
}
