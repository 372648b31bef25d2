/* evenhand today */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "look.h"
#include "play_options.h"
#include "say.h"
#include "today_history.h"
#include "today_play.h"

static const char about[] =
    "Plans a practice from the history and leads through it. A fault that several\n"
    "runs showed comes back at a tempo just below the one where it fails, and so do\n"
    "pieces that were not played for days; they take turns; at the end comes\n"
    "something that holds. The plan is shown first. Enter begins it; nothing is typed\n"
    "after that, rests included. Ctrl-C ends it with what was found.";

static const char more[] =
    "Where standard input is no terminal only the plan is printed; --start begins\n"
    "without a key. What is weighed, and the sources: docs/today.md.\n"
    "Minutes are an upper bound. Stop when something hurts.";

enum { MINUTES_DEFAULT = 20 };

/* Everything that a day needs; too large for a stack. */
struct today {
    double minutes;
    bool start;
    struct today_history history;
    struct eh_agenda agenda;
    struct sitting sitting;
};

static enum options_answer parse(struct today *today, int argc, char **argv) {
    struct play_options *options = &today->sitting.options;
    *options = play_options_default();
    today->minutes = MINUTES_DEFAULT;
    const struct option_row rows[] = {
        OPTION_ROW_NUMBER("minutes", "N", "at most so long, else 20", today->minutes,
                          EH_AGENDA_MINUTES_MIN, EH_AGENDA_MINUTES_MAX),
        OPTION_ROW_FLAG("start", "begins without a key", today->start),
        PLAY_COMMON_ROWS(options),
    };
    const struct command_usage usage = {.name = "today",
                                        .arguments = "",
                                        .about = about,
                                        .more = more,
                                        .options = rows,
                                        .option_count = sizeof rows / sizeof rows[0],
                                        .least = 0,
                                        .most = 0};
    struct command_words words;
    const enum options_answer answer = options_parse(&usage, argc, argv, &words);
    options->db = words.db;
    return answer == OPTIONS_RUN ? play_options_settle(options, &usage) : answer;
}

static int make_plan(struct today *today) {
    const struct today_history *history = &today->history;
    const struct eh_agenda_input input = {
        .pieces = history->agenda_pieces,
        .piece_count = history->piece_count,
        .runs = history->runs,
        .run_count = history->run_count,
        .warm_ups = {history->warm_ups[0], history->warm_ups[1], history->warm_ups[2]},
        .today = history->today,
        .minutes = today->minutes,
        .count_in_bars = (int32_t)today->sitting.options.count_in};
    struct eh_error error;
    eh_error_clear(&error);
    if (history->run_count == 0) {
        return today_history_complain(history, &today->sitting.options);
    }
    return eh_agenda_make(&today->agenda, &input, &error) == EH_OK
               ? CLI_GOOD
               : cli_complain_error("today", &error);
}

static int print_plan(const struct today *today) {
    struct eh_text text = {0};
    const struct eh_report_look look = cli_look();
    const enum eh_status status =
        eh_report_today_plan(&today->agenda, today->history.said, today->minutes, &look, &text);
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
        (void)fflush(stdout);
    }
    eh_text_deinit(&text);
    return status == EH_OK ? CLI_GOOD : cli_complain("today: not enough memory");
}

/* The one key. False: it will not come. */
static bool wait_for_key(void) {
    (void)fputs("\nEnter begins; nothing needs to be typed after that. Ctrl-C leaves.\n", stdout);
    (void)fflush(stdout);
    int key = getchar();
    while (key != '\n' && key != EOF) {
        key = getchar();
    }
    return key == '\n';
}

static int run_steps(struct today *today) {
    int result = today_history_read(&today->history, &today->sitting.options);
    if (result == CLI_GOOD) {
        result = make_plan(today);
    }
    if (result == CLI_GOOD) {
        result = print_plan(today);
    }
    if (result != CLI_GOOD) {
        return result;
    }
    const bool typed = !today->start && isatty(STDIN_FILENO) == 1;
    if (!today->start && !typed) {
        (void)fputs("\n\"evenhand today --start\" begins it.\n", stdout);
        return result;
    }
    result = sitting_meet(&today->sitting);
    if (result != CLI_GOOD || (typed && !wait_for_key())) {
        return result;
    }
    return today_play(&today->sitting, &today->history, &today->agenda);
}

int cli_today(int argc, char **argv) {
    static struct today today;
    memset(&today, 0, sizeof today);
    const enum options_answer answer = parse(&today, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    const int result = run_steps(&today);
    sitting_close(&today.sitting);
    today_history_deinit(&today.history);
    return result;
}
