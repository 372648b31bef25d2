/* evenhand history */
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "evenhand/report.h"
#include "evenhand/store.h"
#include "history_file.h"
#include "history_one.h"
#include "look.h"
#include "options.h"
#include "say.h"

struct history_options {
    struct command_words words;
    const char *exercise;
    int64_t limit;
    bool json;
};

enum { LIMIT_DEFAULT = 20, LIMIT_MAX = 1000000 };

static int print_rows(const struct eh_run_row *rows, size_t count) {
    struct eh_text text = {0};
    const struct eh_report_look look = cli_look();
    const enum eh_status status = eh_report_history(rows, count, &look, &text);
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_text_deinit(&text);
    return status == EH_OK ? CLI_GOOD : cli_complain("history: %s", eh_status_text(status));
}

static int list_store(const struct history_options *options, struct eh_store *store) {
    const struct eh_run_filter filter = {.limit = (size_t)options->limit,
                                         .exercise = options->exercise};
    struct eh_run_list list = {0};
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_store_runs(store, &filter, &list, &error) != EH_OK) {
        return cli_complain_error("history", &error);
    }
    int result = CLI_GOOD;
    if (list.count == 0 && options->exercise != NULL) {
        printf("No runs of %s yet; \"evenhand history\" lists those there are.\n",
               options->exercise);
    } else {
        result = print_rows(list.rows, list.count);
    }
    eh_run_list_deinit(&list);
    return result;
}

static int list_runs(const struct history_options *options) {
    struct eh_store *store = NULL;
    const int result = history_open_if_any(&store, options->words.db);
    if (result != CLI_GOOD) {
        return result;
    }
    if (store == NULL) {
        return print_rows(NULL, 0);
    }
    const int listed = list_store(options, store);
    eh_store_close(store);
    return listed;
}

static int run_subcommand(const struct command_usage *usage,
                          const struct history_options *options) {
    const struct command_words *words = &options->words;
    const bool show = strcmp(words->words[0], "show") == 0;
    if (!show && strcmp(words->words[0], "export") != 0) {
        return options_complain(usage, "%s: no such word; say show or export", words->words[0]);
    }
    if (words->count != (show ? 2 : 3)) {
        return options_complain(usage, "say: evenhand history %s",
                                show ? "show RUN" : "export RUN FILE.mid");
    }
    int64_t run = 0;
    const char *number = words->words[1];
    if (!options_read_integer(strncmp(number, "run:", 4) == 0 ? number + 4 : number, &run) ||
        run < 1) {
        return options_complain(usage, "%s is not a run's number", number);
    }
    return show ? history_show(run, options->json, words->db)
                : history_export(run, words->words[2], words->db);
}

int cli_history(int argc, char **argv) {
    struct history_options options = {.limit = LIMIT_DEFAULT};
    const struct option_row rows[] = {
        {.name = "exercise",
         .argument = "NAME",
         .help = "runs of this exercise only",
         .kind = OPTION_TEXT,
         .target.text = &options.exercise},
        {.name = "limit",
         .argument = "N",
         .help = "at most so many runs; else 20",
         .kind = OPTION_INTEGER,
         .target.integer = &options.limit,
         .low = 1,
         .high = LIMIT_MAX},
        {.name = "json",
         .help = "with show: the judgement as kept, one JSON document",
         .kind = OPTION_FLAG,
         .target.flag = &options.json},
    };
    const struct command_usage usage = {
        .name = "history",
        .arguments = "[show RUN | export RUN FILE.mid]",
        .about = "Lists the stored runs, newest first; shows one; writes one as a Standard MIDI\n"
                 "File that other programs open.",
        .more = "To judge a stored run again: evenhand judge EXERCISE run:RUN",
        .options = rows,
        .option_count = sizeof rows / sizeof rows[0],
        .most = 3,
    };
    const enum options_answer answer = options_parse(&usage, argc, argv, &options.words);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    return options.words.count == 0 ? list_runs(&options) : run_subcommand(&usage, &options);
}
